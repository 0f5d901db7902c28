"""The board as HTML: large words, one button for each thing that happens, a digit that the page keeps counting.

The page knows no limit. It counts `data-since` up and `data-until` down, in milliseconds of the device's clock, and
puts the event of a pressed `data-do` into the journal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape
from typing import Any

from calc.booth import journal
from calc.booth.board import STRICTER_WATCH, WATCH, Board, Clock, last_spark, rule_of
from calc.booth.into_record import text_at
from calc.booth.journal import Event
from calc.booth.log import Judged, Pass, digits, duration
from calc.booth.pads import PADS
from calc.core.declare import Amount, Level, worst
from calc.core.units import System, counted
from calc.plate_test.fields import FIELDS
from calc.record.bench import BLANK, Judgement, place_in_words
from calc.record.form import flag_html
from calc.record.shape import Record
from calc.show.html import both
from calc.stages.safety import HOT_WORK_CHECK

NOT_READ = "not read"
_HEADS = (
    "Pass", "Rods", "Plate before", "Amperage", "Voltage", "Arc time", "Travel speed", "Heat input H", "Stands",
)
_WORDS = {
    journal.OUT: "Rods out", journal.IN: "Rods back in", journal.SPARK: "Last spark", journal.WATCHED: "Watch over",
    journal.ARC: "Arc, new rod", journal.SAME_ROD: "Arc, same rod", journal.STOP: "Arc stopped",
    journal.DONE: "Pass complete", journal.AGAIN: "Pass opened again", journal.RULE: "Rule of the fire watch",
    journal.MORE: "One pass more", journal.SEEN: "Seen", journal.JUMP: "The device's clock was set",
    **{pad.do: pad.label for pad in PADS},
}


def in_words(event: Event, passes: tuple[Pass, ...]) -> str:
    """An event in words, for the list of the day and for what Undo takes back.

    >>> in_words(Event("t.1", 1, 0, 0, "amps", 2, "125 A"), ())
    'Amperage 125 A, pass 2'
    """
    words = _WORDS.get(event.do, event.do)
    if event.value and event.do not in (journal.SEEN, journal.JUMP):
        words += f" {event.value.replace(' deg', ' °')}"
    if event.number and journal.DOES[event.do] == "pass":
        name = next((each.name for each in passes if each.number == event.number), f"pass {event.number}")
        words += f", {name}"
    return words


def set_in_words(event: Event) -> str:
    """That the clock of the device was set, by how much, and what the clocks make of it.

    >>> set_in_words(Event("t.1", 1, 0, 0, "jump", value="-3600000"))
    'The clock of this device was set back by 1 h. The clocks here leave that out.'
    """
    by = journal.jump_of(event) / 1000
    way = "back" if by < 0 else "ahead"
    if event.value.endswith("?"):
        return (
            f"The clock of this device was set {way} by {duration(abs(by))} or more while no page looked. Nobody knows "
            "by how much: go by another clock for what ran then."
        )
    return f"The clock of this device was set {way} by {duration(abs(by))}. The clocks here leave that out."


def _do(words: str, do: str, number: int = 0, value: str = "", kind: str = "", said: str = "", **data: str) -> str:
    more = "".join(f' data-{name}="{escape(text)}"' for name, text in data.items())
    more += f' aria-label="{escape(said)}"' if said else ""
    return (
        f'<button type="button" class="booth-key {kind}" data-do="{do}" data-number="{number}" '
        f'data-value="{escape(value)}"{more}>{words}</button>'
    )


class Page:
    """The board of a day, written for a page."""

    def __init__(self, board: Board, system: System) -> None:
        self.board = board
        self.system = system

    def milliseconds(self, seconds: float) -> int:
        """An instant on the line of the day as the device's clock has it now."""
        return round(self.board.at + (seconds - self.board.now) * 1000)

    # -- the pass under way --

    def under_way(self) -> str:
        """The pass under way: what was read, the one large button, how it stands."""
        board, each = self.board, self.board.current
        count = len(board.passes)
        if each is None:
            more = _do("One pass more", journal.MORE)
            return (
                f'<section class="booth-now" aria-labelledby="booth-now"><h2 id="booth-now">All {count} passes '
                f'complete</h2><div class="booth-keys">{more}</div></section>'
            )
        if each.burns:
            strike = (
                f'<p class="booth-digits" data-since="{self.milliseconds(each.arcs[-1][0])}">'
                f"{digits(board.now - each.arcs[-1][0])}</p>"
            )
            main = _do("Stop the arc", journal.STOP, each.number, kind="booth-main booth-stop")
        else:
            strike = f'<p class="booth-digits booth-still">{digits(each.arc_time)}</p>'
            main = _do("Arc: new rod", journal.ARC, each.number, kind="booth-main")
        pads = "".join(self._pad(each, pad.do, pad.label) for pad in PADS)
        same = _do("Arc: same rod", journal.SAME_ROD, each.number) if each.rods and not each.burns else ""
        done = _do("Pass complete", journal.DONE, each.number) if each.arcs and not each.burns else ""
        rods = counted(each.rods, "rod")
        return (
            f'<section class="booth-now" aria-labelledby="booth-now"><h2 id="booth-now">Pass {each.number} of {count}: '
            f'{escape(each.name)}</h2><div class="booth-arc">{strike}<p>{rods}, arc time</p></div>{main}'
            f'<div class="booth-keys">{pads}{same}{done}</div>{self._so_far(each)}{_told(each.judged())}</section>'
        )

    def _pad(self, each: Pass, do: str, label: str) -> str:
        read = self._shown(do, each.temperature_before if do == journal.TEMPERATURE else each.reading(do))
        return (
            f'<button type="button" class="booth-key booth-pad-key" data-pad="{do}" data-number="{each.number}" '
            f'aria-haspopup="dialog">{label} <strong>{read or NOT_READ}</strong></button>'
        )

    def _shown(self, do: str, text: str) -> str:
        """A reading in both systems, as the switch of units shows it."""
        if not text:
            return ""
        pad = next(pad for pad in PADS if pad.do == do)
        read = Amount(pad.input.read(text, self.board.facts.system), pad.input.kind, 3)
        return both(read.text("us"), read.text("si"))

    def _so_far(self, each: Pass) -> str:
        if each.done or each.speed is None:
            return ""
        heat = f", H {both(each.heat_input.text('us'), each.heat_input.text('si'))}" if each.heat_input else ""
        return (
            f'<p class="booth-line" data-so-far>If this pass is complete: '
            f"{both(each.speed.text('us'), each.speed.text('si'))}{heat}.</p>"
        )

    # -- the clocks --

    def clocks(self) -> str:
        """Every clock but that of the arc, which stands with its pass."""
        tiles = "".join(self._clock(each) for each in self.board.clocks if each.id != "arc")
        return (
            f'<section class="booth-clocks" aria-labelledby="booth-clocks"><h2 id="booth-clocks">Clocks</h2>{tiles}'
            '<p class="booth-line">No clock replaces the person on watch.</p></section>'
        )

    def _clock(self, clock: Clock) -> str:
        board = self.board
        count = ""
        if clock.until is not None:
            left = clock.until - board.now
            count = (
                f'<p class="booth-digits" data-until="{self.milliseconds(clock.until)}">'
                f"{digits(left)}</p>"
            )
        elif clock.since is not None:
            count = (
                f'<p class="booth-digits" data-since="{self.milliseconds(clock.since)}">'
                f"{digits(board.now - clock.since)}</p>"
            )
        buttons = "".join(_do(escape(words), do, number) for do, number, words in clock.does)
        if clock.id == WATCH and last_spark(board.day) is None:
            buttons += self._rules()
        return (
            f'<div class="booth-clock" data-clock="{clock.id}" data-level="{clock.level.value}"><h3>'
            f'{escape(clock.title)}</h3>{count}<div class="booth-keys">{buttons}</div>{_told(clock.judged)}</div>'
        )

    def _rules(self) -> str:
        chosen = rule_of(self.board.day)
        return "".join(
            _do(escape(option.label), journal.RULE, value=option.value, kind="booth-small",
                chosen="yes" if option.value == chosen else "no")
            for option in HOT_WORK_CHECK.input("rule").options
        )

    def spent(self) -> str:
        """What ran out, and a clock that was set: it stays until somebody says that it was seen."""
        told = [(each.key, each.spent) for each in self.board.spent]
        told += [(each.id, set_in_words(each)) for each in self.board.set_clocks]
        return "".join(
            f'<div class="booth-spent" data-spent="{key}"><p>{escape(words)}</p>'
            f'{_do("I have seen it", journal.SEEN, value=key)}</div>' for key, words in told
        )

    # -- the day --

    def passes(self) -> str:
        """Every pass of the day in a table, with what is missing of it."""
        rows = "".join(self._row(each) for each in self.board.passes)
        heads = "".join(f'<th scope="col">{words}</th>' for words in _HEADS)
        return (
            '<section class="booth-passes" aria-labelledby="booth-passes"><h2 id="booth-passes">Passes</h2>'
            '<div class="wide" tabindex="0" role="group" aria-label="Table: passes">'
            f'<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'
            f'<div class="booth-keys">{_do("One pass more", journal.MORE)}</div></section>'
        )

    def _row(self, each: Pass) -> str:
        judged = list(each.judged())
        level = worst(flag.level for flag in judged)
        stands = f"<strong>{level.label}</strong>" if judged else "not begun"
        again = _do("Open again", journal.AGAIN, each.number, kind="booth-small") if each.done else ""
        figures = [each.speed, each.heat_input] if each.done else [None, None]
        cells = (
            str(each.rods) if each.arcs else "", self._shown(journal.TEMPERATURE, each.temperature_before),
            *(self._shown(do, each.reading(do)) for do in (journal.AMPS, journal.VOLTS)),
            duration(each.arc_time) if each.arcs else "",
            *(both(value.text("us"), value.text("si")) if value else "" for value in figures),
        )
        return (
            f'<tr data-pass="{each.number}"><th scope="row">{escape(each.name)}</th>'
            + "".join(f"<td>{cell or '—'}</td>" for cell in cells)
            + f'<td data-level="{level.value}">{stands}{again}</td></tr>'
        )

    def events(self) -> str:
        """What was pressed, the newest first, each with its own undo."""
        day, passes = self.board.day, self.board.passes
        zones = {each.offset for each in day.live}
        items = "".join(
            f'<li><span>{each.wall}{_zone(each.offset) if len(zones) > 1 else ""} '
            f'{escape(in_words(each, passes))}</span>'
            f'{_do("Undo", journal.UNDO, kind="booth-small", of=each.id, said=f"Undo: {in_words(each, passes)}")}</li>'
            for each in reversed(day.live)
        )
        return f'<ul class="booth-events">{items}</ul>' if items else "<p>Nothing yet.</p>"

    def undo(self) -> str:
        """The button that takes back what was pressed last."""
        last = next(reversed(self.board.day.live), None)
        if last is None:
            return ""
        return _do(f"Undo: {escape(in_words(last, self.board.passes))}", journal.UNDO, of=last.id)

    def strip(self) -> list[dict[str, Any]]:
        """What the strip of the other pages shows: the clocks that run."""
        return [
            {
                "name": each.short or each.title,
                **({"until": self.milliseconds(each.until), "spent": each.spent, "key": each.key}
                    if each.until is not None else {"since": self.milliseconds(each.since)}),
                **({"seen": True} if each.key in self.board.seen else {}),
            }
            for each in self.board.clocks if each.runs
        ]


def _zone(offset: int) -> str:
    sign = "-" if offset < 0 else "+"
    return f" (UTC{sign}{abs(offset) // 60}:{abs(offset) % 60:02d})"


def _told(judged: Iterable[Judged]) -> str:
    """What speaks against it in full; what is in order folded, since it asks for nothing."""
    flags = list(judged)
    loud = [flag for flag in flags if flag.level.severity]
    loud.sort(key=lambda flag: -flag.level.severity)
    rest = [flag for flag in flags if not flag.level.severity]
    told = "".join(map(flag_html, loud))
    fine = any(flag.level is Level.OK for flag in rest)
    if len(rest) == 1 and not fine:
        return told + flag_html(rest[0])
    if rest:
        words = "In order and notes" if fine else "Notes"
        told += f"<details><summary>{words} ({len(rest)})</summary>{''.join(map(flag_html, rest))}</details>"
    return told


def missing_html(judgement: Judgement, differs: tuple[str, ...], wanted: Mapping[str, str]) -> str:
    """What the record still lacks, and where it says otherwise than the day: one list, a button to each."""
    record = judgement.record
    items = []
    for place in differs:
        items.append(
            f"<li><span>{escape(place_in_words(place, record))}: the record says {escape(text_at(record, place))}, the "
            f'day {escape(wanted[place])}.</span><button type="button" class="booth-key booth-small" '
            f'data-take="{place}">Take the figure of the day</button></li>'
        )
    for flag in judgement.flags:
        if flag.id == BLANK:
            items.append(
                f"<li><span>{escape(place_in_words(flag.place, record))}</span> <button type=\"button\" "
                f'class="booth-key booth-small" data-open-record="{escape(flag.place)}">Write it</button></li>'
            )
    if not items:
        return "<p>Nothing is missing in the record.</p>"
    return f'<ul class="booth-events">{"".join(dict.fromkeys(items))}</ul>'


def test_line(test: Record) -> str:
    """What of the test the clocks cannot do without and do not find; "" where it says all of it."""
    wanted = ("electrode", "interpass_maximum", "plate_length")
    blank = [FIELDS[each].input.label for each in wanted if not test.text(each)]
    return f"Your test does not say: {', '.join(blank)}." if blank else ""
