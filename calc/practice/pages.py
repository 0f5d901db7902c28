"""Questions, their marking and their worked solutions as HTML. Every text from outside is escaped."""

from __future__ import annotations

from html import escape

from calc.catalogue import calculator, fact
from calc.core.declare import Result, Value
from calc.core.forms import lowered
from calc.core.sources import COMMON, Citation
from calc.core.units import SYSTEMS
from calc.practice.drawn import svg
from calc.practice.forms import CHAPTERS, Form, Hazard, Judge, Looks, Number, Order
from calc.practice.marking import Marking, right_text
from calc.practice.measured import HOW, MEASURED, ON_PAPER
from calc.practice.progress import Meeting, State
from calc.practice.questions import Question, is_date, phrase, worked_steps
from calc.practice.ready import Ready, tenths
from calc.practice.solution import steps_to
from calc.show.html import both, citation_html, phrase_html, solution_html

KIND_WORDS = {
    "number": "Work it out", "judge": "Your verdict", "choice": "Choose one", "order": "Put in order",
    "hazard": "Find what is wrong", "flaw": "Name the discontinuity", "looks": "Name each",
}


def question_html(question: Question, place: str, heading: str = "") -> str:
    """The question as a form. `place` makes its ids unique on the page."""
    form = question.form
    kind = KIND_WORDS[form.kind]
    drawn = "" if question.pictured else drawn_html(question, place)
    scene = f'<p class="scene">{phrase_html(phrase(form.body.scene))}</p>' if isinstance(form.body, Hazard) else ""
    shop = f'<p class="question-own">{escape(of_shop(form))}</p>' if form.shop else ""
    return (
        f'<form class="question" data-question="{form.id}" data-seed="{escape(question.seed)}" novalidate>'
        f'<p class="question-head">{escape(heading)}<span class="question-kind">{kind}</span> <span>{escape(CHAPTERS[form.chapter])}</span></p>'
        f"{shop}{_own(question)}"
        f'<fieldset><legend id="{place}-text">{phrase_html(question.text)}</legend>{scene}{drawn}{_field(question, place)}</fieldset>'
        f'<p class="error" id="{place}-error" role="alert" data-error></p>'
        f'<div class="question-foot"><label class="unsure"><input type="checkbox" name="unsure"> I am not sure</label>'
        f'<button type="submit" class="main-button">Check my answer</button></div></form>'
    )


def _own(question: Question) -> str:
    """Which figures are those of the reader's own test."""
    if not question.own:
        return ""
    each_input = calculator(question.form.drawn.calculator).input
    labels = "; ".join(lowered(each_input(name).label) for name in question.own)
    return f'<p class="question-own">From your own test: {escape(labels)}.</p>'


def drawn_html(question: Question, place: str, paper: bool = False) -> str:
    """The drawings of a question, or nothing where it has none. On paper a rule lies still."""
    made = ""
    for number, (name, drawn) in enumerate(zip(question.drawings, drawn_svgs(question, place))):
        how = (ON_PAPER if paper else HOW) if name in MEASURED else ""
        told = f"Drawing {number + 1}" if question.pictured else how
        caption = f"<figcaption>{told}</figcaption>" if told else ""
        made += f'<figure class="drawn">{drawn}{caption}</figure>'
    return f'<div class="side-by-side">{made}</div>' if question.pictured else made


def drawn_svgs(question: Question, place: str) -> tuple[str, ...]:
    """The drawings of a question. Each of several has a seed of its own."""
    return tuple(
        svg(name, f"{question.form.id}/{question.seed}/{number}", f"{place}-{number}", question.inputs)
        for number, name in enumerate(question.drawings)
    )


def _field(question: Question, place: str) -> str:
    body = question.form.body
    if isinstance(body, Number):
        return number_field(question.asked, place, "Your answer")
    if isinstance(body, Order):
        return _order_field(question, place)
    if isinstance(body, Looks):
        return _names_field(question, place)
    kind = "checkbox" if isinstance(body, Hazard) else "radio"
    lines = "".join(
        f'<label class="option"><input type="{kind}" name="answer" value="{index}" aria-describedby="{place}-error"> '
        f"<span>{phrase_html(line)}</span></label>"
        for index, line in enumerate(question.lines)
    )
    told = "One to five may be wrong, or none. Mark nothing where all is right."
    told = f'<p class="help">{told}</p>' if kind == "checkbox" else ""
    return f'{told}<div class="options">{lines}</div>'


def _names_field(question: Question, place: str) -> str:
    """The drawings side by side, each with a choice of all names."""
    names = '<option value=""></option>' + "".join(
        f'<option value="{index}">{escape("".join(map(str, line)))}</option>'
        for index, line in enumerate(question.lines)
    )
    made = "".join(
        f'<div><figure class="drawn">{drawn}</figure><div class="reply"><label for="{place}-name-{number}">Drawing '
        f'{number + 1}</label> <select id="{place}-name-{number}" name="answer" aria-describedby="{place}-error">'
        f"{names}</select></div></div>"
        for number, drawn in enumerate(drawn_svgs(question, place))
    )
    return f'<div class="side-by-side">{made}</div>'


def number_field(value: Value, place: str, label: str) -> str:
    """The field for a figure, with how a bare number is read."""
    return (
        f'<div class="reply"><label for="{place}-answer">{escape(label)}</label>'
        f'<input id="{place}-answer" name="answer" type="text" autocomplete="off" spellcheck="false" maxlength="40" '
        f'aria-describedby="{place}-hint {place}-error"><p class="help" id="{place}-hint">{_hint(value)}</p></div>'
    )


def _hint(value: Value) -> str:
    if value.kind is None:
        return "Write a date as year-month-day or month/day/year." if is_date(
            value
        ) else "Write the time as hours and minutes, as in 14:05 or 2:05 pm."
    us, si = (value.kind.unit(system).symbol for system in SYSTEMS)
    if not us:
        return "A plain number without a unit."
    return f"A number without a unit is read in {both(us, si)}. You may write any unit after it."


def _order_field(question: Question, place: str) -> str:
    count = len(question.shown)
    numbers = '<option value=""></option>' + "".join(
        f'<option value="{each}">{each}</option>' for each in range(1, count + 1)
    )
    rows = "".join(
        f'<li><select id="{place}-step-{index}" name="step" data-step="{index}" aria-describedby="{place}-error">{numbers}</select> '
        f'<label for="{place}-step-{index}">{phrase_html(line)}</label></li>'
        for index, line in enumerate(question.lines)
    )
    return f'<p class="help">Give each step its number, 1 for the first.</p><ul class="order">{rows}</ul>'


# --- marked -------------------------------------------------------------------------------


def marked_html(question: Question, marking: Marking, place: str) -> str:
    """What became of the answer: the verdict, the slip, the right answer with its reasons, the worked steps, the
    sources.
    """
    slip = f'<p class="slip">It looks as if {escape(marking.slip)}.</p>' if marking.slip else ""
    head = "Right" if marking.right else "Not right"
    return (
        f'<div class="marked" data-right="{str(marking.right).lower()}"><h3 tabindex="-1">{head}</h3>{slip}'
        f"{solution(question, place, marking)}</div>"
    )


def solution(question: Question, place: str, marking: Marking | None = None) -> str:
    """The right answer with its reasons, worked steps and sources."""
    form = question.form
    parts = [_right_html(question, marking)]
    for why in (form.why, question.case.why if question.case else ""):
        parts.append(f"<p>{phrase_html(phrase(why))}</p>" if why else "")
    if question.result is not None:
        parts.append(_worked(question, place))
        parts.append('<p class="note">Study help, not a certification. The WPS and a qualified inspector decide.</p>'
                     if isinstance(form.body, Judge) else "")
    # Worked steps carry their own sources.
    steps_told = isinstance(form.body, Number) and worked_steps(question)
    parts.append("" if steps_told and set(form.sources) == {"calculator"} else _sources(question))
    return "".join(parts)


def _right_html(question: Question, marking: Marking | None) -> str:
    body = question.form.body
    if isinstance(body, Number):
        value = question.asked
        return f'<p class="right-answer">{escape(value.label)}: <strong>{both(value.text("us"), value.text("si"))}</strong></p>'
    if isinstance(body, Order):
        steps = "".join(f"<li>{phrase_html(question.lines[place])}</li>" for place in question.right)
        free = " Steps that may change places are right in either order." if body.any_order else ""
        return f'<p class="right-answer">The order:{free}</p><ol class="right-order">{steps}</ol>'
    if isinstance(body, Hazard):
        things = "".join(_thing(question, index, marking) for index in range(len(question.shown)))
        return f'<p class="right-answer">{_faults(question, marking)}</p><ul class="reasons">{things}</ul>'
    if isinstance(body, Looks):
        named = "".join(_named(question, number, marking) for number in range(len(question.pictured)))
        return f'<ul class="reasons">{named}</ul>'
    if isinstance(body, Judge):
        return f'<p class="right-answer">The verdict: <strong>{phrase_html(right_text(question))}</strong></p>'
    items = "".join(
        f'<li data-right="{str(option.right).lower()}"><strong>{"Right: " if option.right else "Wrong: "}</strong>'
        f"{phrase_html(phrase(option.text))}<br>{phrase_html(phrase(option.why))}</li>"
        for option in (body.options[index] for index in sorted(question.shown, key=lambda each: not body.options[each].right))
    )
    return f'<ul class="reasons">{items}</ul>'


def _faults(question: Question, marking: Marking | None) -> str:
    """How many of a scene are wrong, and how the reader's set differs."""
    count = len(question.right)
    told = f"{count} of these are wrong." if count > 1 else "One of these is wrong." if count else "Nothing here is wrong."
    if marking and not marking.right:
        extra = len(marking.extra)
        told += f" You missed {len(marking.missed)} and marked {extra} that {'is' if extra == 1 else 'are'} all right."
    return told


def _named(question: Question, number: int, marking: Marking | None) -> str:
    each = question.form.body.looks[question.pictured[number]]
    other = " (you named another)" if marking and number in marking.missed else ""
    told = f"{phrase_html(phrase(each.text))}<br>{phrase_html(phrase(each.why))}"
    return f"<li><strong>Drawing {number + 1}{other}:</strong> {told}</li>"


def _thing(question: Question, place: int, marking: Marking | None) -> str:
    each = question.form.body.things[question.shown[place]]
    head = "Wrong" if each.hazard else "All right"
    if marking and place in marking.missed:
        head += " (you missed it)"
    if marking and place in marking.extra:
        head += " (you marked it)"
    return f"<li><strong>{head}:</strong> {phrase_html(phrase(each.text))}<br>{phrase_html(phrase(each.why))}</li>"


def _worked(question: Question, place: str) -> str:
    result = question.result
    assert result is not None
    if isinstance(question.form.body, Number):
        steps = worked_steps(question)
        if steps:
            return f"<h4>Worked steps</h4>{solution_html(steps, place)}"
        return "<p>This figure is read from a table.</p>"
    checks = "".join(f"<li>{phrase_html(each.phrase)}</li>" for each in result.checks)
    return f"<h4>What the calculator says</h4><ul>{checks}</ul>" if checks else ""


def citations(question: Question) -> tuple[Citation, ...]:
    """The sources of a question: those of its form, and of the figure or the checks that its calculator gives."""
    found: dict[Citation, None] = {}
    for source in question.form.sources:
        if source == "common practice":
            found[COMMON] = None
        elif source not in ("calculator", "shop"):
            found[fact(source).source] = None
    if isinstance(question.form.body, Number):
        found[question.asked.source] = None
    elif question.result is not None:
        found.update(dict.fromkeys(each.source for each in question.result.checks))
    return tuple(found)


def of_shop(form: Form) -> str:
    """Whose question it is, for one of a shop."""
    return f"Question of {form.shop}"


def shop_word(form: Form) -> str:
    """What stands behind a question of a shop."""
    return f"{form.shop} wrote this question. The guide did not check it."


def _sources(question: Question) -> str:
    items = "".join(f"<li>{citation_html(each)}</li>" for each in citations(question))
    items += f"<li>{escape(shop_word(question.form))}</li>" if question.form.shop else ""
    return f'<details class="question-sources"><summary>Sources</summary><ul>{items}</ul></details>' if items else ""


def ready_html(found: Ready) -> str:
    """What a reader may expect on the day of the test."""
    titles = {objective: objective.replace("-", " ") for objective in found.weakest}
    stages = "".join(
        f'<tr><th scope="row">{escape(CHAPTERS[name])}</th><td>{tenths(share)}</td></tr>'
        for name, share in found.stages.items()
    )
    weakest = "".join(
        f'<li><a href="?objectives={objective}">{escape(title)}</a></li>' for objective, title in titles.items()
    )
    return (
        '<p class="right-answer">Expected on the day of your test, if you practice no more: '
        f"<strong>{tenths(found.share)}</strong> of the objectives known, likely {tenths(found.low)} to "
        f"{tenths(found.high)}.</p>"
        f"<p>Tried so far: {found.tried} of {found.objectives} objectives. An hour of questions today would add about "
        f"{round(100 * found.hour)} percentage points.</p>"
        f"<p>The three that you are likeliest not to know:</p><ul>{weakest}</ul>"
        f"<details><summary>By chapter</summary><table><tbody>{stages}</tbody></table></details>"
        '<p class="note">A guess from your answers here, and no certification.</p>'
    )


def both_html(answers: str, by_hand: str) -> str:
    """What the answers say and what the plates say, side by side in one block."""
    return (
        f'<div class="ready-both"><section><h3>Answers</h3>{answers}</section>'
        f'<section><h3>Hands</h3>{by_hand}</section></div>'
    )


def meetings_html(met: list[Meeting], here: State) -> str:
    """What a progress file would change here, reader by reader; with a choice where only the name is the same."""
    return "".join(_meeting_html(place, each, here) for place, each in enumerate(met))


def _meeting_html(place: int, each: Meeting, here: State) -> str:
    name = escape(each.name)
    if each.place is None:
        what = f"comes beside the readers here, with {_adds(each)}" if _adds(each) else "comes beside the readers here"
    elif not each.adds:
        what = "brings nothing new"
    else:
        mine = here.profiles[each.place].name
        onto = f" to “{escape(mine)}”" if mine != each.name else ""
        what = f"would add{onto}: {_adds(each)}" if each.asks else f"adds{onto}: {_adds(each)}"
    ask = ""
    if each.asks:
        ask = "".join(
            f'<label class="option"><input type="radio" name="meet-{place}" value="{choice}"> <span>{words}</span></label>'
            for choice, words in (
                ("join", f"The same person: join both histories of “{name}”"),
                ("beside", "Another person: keep both, the new one under another name"),
            )
        )
        ask = f'<div class="options" role="radiogroup" aria-label="Who is “{name}” of the file?">{ask}</div>'
        what += ". There is a reader of this name here already. Is it the same person?"
    return f'<li data-meeting="{place}"><strong>{name}</strong> {what}{"" if each.asks else "."}{ask}</li>'


def _adds(each: Meeting) -> str:
    counts = (
        (each.answers, "answer", "answers"), (each.older, "question of older days", "questions of older days"),
        (each.read, "objective read", "objectives read"), (each.plates, "plate", "plates"),
    )
    return ", ".join(f"{count} {one if count == 1 else more}" for count, one, more in counts if count)


# --- try first ------------------------------------------------------------------------------


def try_html(result: Result, figures: tuple[Value, ...], within: dict[str, str], place: str) -> str:
    """The form that asks a calculator's reader for a figure before it shows its own."""
    options = "".join(f'<option value="{each.name}">{escape(each.label)}</option>' for each in figures)
    hints = "".join(
        f'<span data-for="{each.name}"{"" if index == 0 else " hidden"}>{_hint(each)} {_within(within[each.name])}</span>'
        for index, each in enumerate(figures)
    )
    return (
        f'<form class="try-form" novalidate><div class="reply"><label for="{place}-what">What do you work out?</label>'
        f'<select id="{place}-what" name="what">{options}</select></div>'
        f'<div class="reply"><label for="{place}-answer">Your answer</label><input id="{place}-answer" name="answer" type="text" '
        f'autocomplete="off" spellcheck="false" maxlength="40" aria-describedby="{place}-hint {place}-error">'
        f'<p class="help" id="{place}-hint">{hints}</p><p class="error" id="{place}-error" role="alert" data-error></p></div>'
        f'<button type="submit" class="main-button">Check my answer</button></form>'
    )


def _within(text: str) -> str:
    return "Give the exact count." if text == "0" else f"Within {escape(text)} counts as right."


def tried_html(value: Value, marking: Marking, result: Result, place: str) -> str:
    """What became of a tried figure, with the worked steps to be shown one line at a time."""
    slip = f'<p class="slip">It looks as if {escape(marking.slip)}.</p>' if marking.slip else ""
    head = "Right" if marking.right else "Not right"
    steps = steps_to(result, value)
    worked = solution_html(steps, place) if steps else "<p>This figure is read from a table, so there are no steps.</p>"
    return (
        f'<div class="marked" data-right="{str(marking.right).lower()}"><h4 tabindex="-1">{head}</h4>{slip}'
        f'<div class="one-by-one" data-steps hidden>{worked}'
        f'<p class="right-answer" data-last>{escape(value.label)}: <strong>{both(value.text("us"), value.text("si"))}</strong></p></div></div>'
    )
