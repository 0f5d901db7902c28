"""What the practice pages ask of Python: plain data in, HTML and plain data out. See `calc.web` for the door.

Everything that comes in is untrusted: it comes from storage, from files and from the address bar.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from html import escape
from typing import Any

from calc.catalogue import calculator
from calc.core.declare import InputError
from calc.core.units import asked_system
from calc.practice import (
    forms, marking, memory, oral, own, pages, plan, plates, plates_page, progress, ready, schedule, worked, worksheet,
)
from calc.practice.chance import Chance
from calc.practice.forms import CHAPTERS, Form, form_named
from calc.practice.questions import Question, draw
from calc.practice.schedule import Card
from calc.practice.worksheet import WorksheetError, settings_of
from calc.show.html import phrase_html

Request = Mapping[str, Any]
Answer = dict[str, Any]

own.take_packed()

MOST_IN_A_SET = 60
PART = "recall"
"""The part of the engine that holds the model; a page fetches it when an answer needs it."""
ORAL_SECONDS = 60
_WORD = re.compile(r"[A-Za-z0-9._-]{1,60}")
_PLACE = re.compile(r"[a-z0-9-]{1,80}")


def plain_place(request: Request) -> str:
    """The start of the ids of an answer on its page."""
    place = str(request.get("place", "question"))
    return place if _PLACE.fullmatch(place) else "question"


def today_of(request: Request) -> str:
    """The reader's day. Raises `ValueError`."""
    return datetime.date.fromisoformat(str(request["today"])).isoformat()


def _seed(request: Request) -> str:
    """The seed asked for; "1" where it is left out or cannot be one."""
    seed = str(request.get("seed"))
    return seed if "seed" in request and _WORD.fullmatch(seed) else "1"


def _question(request: Request) -> Question:
    """The question asked for; `mine` is what the reader's own test says, by calculator and input."""
    form, mine = form_named(str(request["form"])), request.get("mine")
    fills = mine.get(form.drawn.calculator) if form.drawn and isinstance(mine, Mapping) else None
    own = {str(name): str(text) for name, text in fills.items()} if isinstance(fills, Mapping) else {}
    return draw(form, _seed(request), own)


# --- sets of questions ------------------------------------------------------------------------


def menu(request: Request) -> Answer:
    """The chapters that have questions, for the choice of chapters."""
    return {
        "chapters": [
            {"id": chapter, "title": title, "forms": len(forms.forms_of(chapter))}
            for chapter, title in CHAPTERS.items() if forms.forms_of(chapter)
        ],
    }


def daily(request: Request) -> Answer:
    """The set for today: with the day of the test, what is worth most on that day; otherwise the questions that are
    set for this day, then new ones.
    """
    today = today_of(request)
    cards = {str(name): progress.read_card(card) for name, card in request.get("cards", {}).items()}
    known = forms.all_forms(_chapters(request))
    answer, chosen = _planned(request, known, cards, today)
    if chosen is None:
        chosen = schedule.daily_set(known, cards, today, _size(request, 10))
    due = sum(schedule.is_due(cards[form.id], today) for form in known if form.id in cards)
    later = sum(schedule.clock_is_off(card, today) for card in cards.values())
    return answer | {
        "set": [
            {"form": form.id, "seed": f"{today}.{cards[form.id].seen if form.id in cards else 0}"} for form in chosen
        ],
        "due": due, "new": sum(form.id not in cards for form in known), "next": schedule.days_until_next(cards, today),
        "clock": _clock_words(today, later) if later else "",
    }


def _planned(
    request: Request, known: Sequence[Form], cards: Mapping[str, Card], today: str,
) -> tuple[Answer, list[Form] | None]:
    """The set of the plan and what is told of it; no set without a day of the test ahead or without the model."""
    test = _test_date(request)
    if not test or not 0 <= (days := plan.days_between(today, test)) <= plan.LONGEST_WAIT:
        told = "The day of your test is past. Set the next one, or leave it empty." if test and test < today else ""
        return ({"told": told} if told else {}), None
    memories = memory.from_cards(known, cards) | progress.read_memories(request.get("memory", {}))
    minutes = request.get("minutes", plan.USUAL_MINUTES)
    if not isinstance(minutes, int) or not plan.LEAST_MINUTES <= minutes <= plan.MOST_MINUTES:
        minutes = plan.USUAL_MINUTES
    count = min(MOST_IN_A_SET, plan.questions_of(minutes))
    try:
        chosen = plan.plan_set(known, cards, memories, today, test, count, memory.model())
    except memory.Missing as trouble:
        return {"needs": PART, "told": f"{_upper(str(trouble))}."}, None
    when = "Your test is today" if not days else "One day to your test" if days == 1 else f"{days} days to your test"
    return {"told": f"{when}. {len(chosen)} questions now, about {minutes} minutes.", "planned": True}, chosen


def _test_date(request: Request) -> str:
    """The day of the test; empty where it is left out or cannot be one."""
    try:
        return datetime.date.fromisoformat(str(request.get("test_date") or "")).isoformat()
    except ValueError:
        return ""


def _upper(words: str) -> str:
    return words[0].upper() + words[1:]


def am_i_ready(request: Request) -> Answer:
    """What a reader may expect on the day of the test, as HTML."""
    today, test = today_of(request), _test_date(request)
    try:
        logged = plates.ordered(progress.read_plates(request.get("plates", {})).values())
    except progress.StateError as trouble:
        return {"html": f"<p>{escape(_upper(str(trouble)))}.</p>"}
    by_hand = plates_page.hands_html(logged)
    if not test or not 0 <= plan.days_between(today, test) <= plan.LONGEST_WAIT:
        unset = "<p>Set the day of your test on this page first. It must lie ahead.</p>"
        return {"html": pages.both_html(unset, by_hand)}
    known = forms.all_forms()
    cards = {str(name): progress.read_card(card) for name, card in request.get("cards", {}).items()}
    memories = memory.from_cards(known, cards) | progress.read_memories(request.get("memory", {}))
    try:
        checked = progress.read_checked(request.get("checked"))
        found = ready.ready(known, memories, today, test, memory.model(), checked)
    except memory.Missing as trouble:
        return {"needs": PART, "html": pages.both_html(f"<p>{escape(_upper(str(trouble)))}.</p>", by_hand)}
    return {"html": pages.both_html(pages.ready_html(found), by_hand), "share": round(found.share, 4)}


def hands(request: Request) -> Answer:
    """The practice plates of a reader as HTML: the list, the chance, what comes back; and as rows for the calculator."""
    try:
        kept = plates.ordered(progress.read_plates(request.get("plates", {})).values())
    except progress.StateError as trouble:
        return {"refused": str(trouble)}
    return {
        "html": plates_page.kept_html(kept), "short": plates_page.hands_html(kept),
        "rows": "\n".join(each.row for each in kept),
    }


def plate_form(request: Request) -> Answer:
    """The short form that logs a plate; its date is today's."""
    return {"html": plates_page.form_html(today_of(request), plain_place(request))}


def plate_log(request: Request) -> Answer:
    """A plate from the short form: checked, as it is kept; or what is wrong, and where."""
    cells = {str(name): str(text) for name, text in request.get("cells", {}).items()}
    try:
        made = plates.read_new_plate(cells, id=str(request["id"]))
        day = made.date or today_of(request)
        if day > today_of(request):
            raise InputError("date", "Date", f"this day has not come: today is {today_of(request)}")
        (kept,) = progress.read_plates(
            {made.id: plates.plate_data(made) | {"at": str(request.get("at", ""))}}).values()
    except InputError as trouble:
        return {"error": _sentence(trouble), "field": trouble.field}
    except progress.StateError as trouble:
        return {"error": f"{trouble}."}
    return {"plate": plates.plate_data(kept), "id": kept.id}


def plates_of_records(request: Request) -> Answer:
    """The plates of finished test-day records, each as it would be kept and in words; and how many have no verdict yet.

    Invented records, those of other kinds and those that cannot be read are left out.
    """
    from calc.record.judge import judge
    from calc.record.shape import RecordError, from_data

    found, unfinished = {}, 0
    for data in request.get("records", []):
        try:
            record = from_data(data)
        except RecordError:
            continue
        if record.kind == "test-day" and not record.invented:
            made = plates.from_record(judge(record, datetime.date.fromisoformat(today_of(request))))
            unfinished += made.passed is None
            if made.passed is not None:
                words = f"{record.name or 'No name'}: {plates_page.in_words(made)}"
                found[made.id] = {"plate": plates.plate_data(made), "words": words}
    return {"plates": found, "unfinished": unfinished}


def _clock_words(today: str, later: int) -> str:
    answered = "one question was" if later == 1 else f"{later} questions were"
    return (
        f"The clock of this device says {today}, but {answered} answered on a later day. Set the clock if it is wrong. "
        "Your progress is kept, and these questions are set for today."
    )


def mixed(request: Request) -> Answer:
    """A free set from chosen chapters, mixed by a seed."""
    seed = _seed(request)
    known = forms.all_forms(_chapters(request))
    chosen = Chance(f"set/{seed}").shuffled(known)[: _size(request, 10)]
    return {"set": _as_set(schedule.interleaved(chosen), seed)}


def linked(request: Request) -> Answer:
    """The set that a link asks for: `questions=a,b`, `objectives=a,b` or `chapters=a,b&count=10`, with `seed=7`.

    What cannot be used is refused in words; the rest is used.
    """
    fields = {str(name): str(text) for name, text in request.get("fields", {}).items()}
    refused: list[str] = []
    seed = _seed(fields)
    if fields.get("seed", seed) != seed:
        refused.append("seed: write letters, digits, dots and hyphens")
    chosen: list[Form] = []
    for name in _listed(fields.get("questions", "")):
        try:
            chosen.append(form_named(name))
        except KeyError:
            refused.append(f"there is no question “{name[:60]}”")
    for name in _listed(fields.get("objectives", "")):
        found = [form for form in forms.all_forms() if form.objective == name]
        chosen += found
        refused += [] if found else [f"no question belongs to the objective “{name[:60]}”"]
    chapters = _listed(fields.get("chapters", ""))
    refused += [f"there is no chapter “{name[:60]}”" for name in chapters if name not in CHAPTERS]
    if known := [name for name in chapters if name in CHAPTERS]:
        count = fields.get("count", "10")
        if not re.fullmatch(r"[0-9]{1,4}", count) or not 1 <= int(count) <= MOST_IN_A_SET:
            refused.append(f"count: write a whole number from 1 to {MOST_IN_A_SET}")
            count = "10"
        chosen += schedule.interleaved(Chance(f"set/{seed}").shuffled(forms.all_forms(known))[: int(count)])
    unique = list({form.id: form for form in chosen}.values())[:MOST_IN_A_SET]
    return {"set": _as_set(unique, seed), "refused": refused}


def oral_of_the_day(request: Request) -> Answer:
    """A mock oral: one spoken question a chapter, in the order of the day, each with its answer."""
    seed = str(request.get("seed", "1")).strip()
    try:
        settings_of({"seed": seed})
    except WorksheetError as trouble:
        return {"refused": str(trouble)}
    asked = [_spoken(question, f"oral-{question.form.chapter}") for question in oral.oral_questions(seed)]
    return {"asked": asked, "seconds": ORAL_SECONDS, "seed": seed}


def _spoken(question: Question, place: str) -> Answer:
    drawn = pages.drawn_html(question, place)
    return {
        "form": question.form.id, "chapter": CHAPTERS[question.form.chapter],
        "html": f'<p class="oral-text">{phrase_html(question.text)}</p>{oral.list_html(question)}{drawn}',
        "answer": pages.solution(question, place),
    }


def _as_set(chosen: list[Form], seed: str) -> list[Answer]:
    return [{"form": form.id, "seed": seed} for form in chosen]


def _listed(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()][:MOST_IN_A_SET]


def _chapters(request: Request) -> list[str]:
    return [str(name) for name in request.get("chapters", []) if str(name) in CHAPTERS]


def _size(request: Request, usual: int) -> int:
    size = request.get("size", usual)
    return max(1, min(MOST_IN_A_SET, size)) if isinstance(size, int) else usual


# --- one question --------------------------------------------------------------------------------


def question(request: Request) -> Answer:
    """A question as a form."""
    asked = _question(request)
    return {
        "html": pages.question_html(asked, plain_place(request), str(request.get("heading", ""))[:60]),
        "kind": asked.form.kind, **_offer(request, asked),
    }


def _offer(request: Request, asked: Question) -> Answer:
    """What of the worked steps this reader may see first; nothing where the reader's progress is not told."""
    if not request.get("profile") or asked.form.kind != "number":
        return {}
    level, words = worked.offers(_standings(request), asked)
    return {"level": level, "offer": words} if words else {}


def work_first(request: Request) -> Answer:
    """The worked steps of a question at a level, with its blanks."""
    shown = worked.worked(_question(request), int(request["level"]))
    return {"html": worked.worked_html(shown, f"{plain_place(request)}-worked")} if shown else {}


def work_mark(request: Request) -> Answer:
    """Mark one blank of the worked steps."""
    shown = worked.worked(_question(request), int(request["level"]))
    assert shown is not None
    step = int(request["step"])
    try:
        marked = worked.mark_blank(shown, step, str(request.get("answer", "")), asked_system(request.get("system")))
    except InputError as trouble:
        return {"error": _sentence(trouble)}
    return {"right": marked.right, "html": worked.blank_said(shown, step, marked)}


def mark(request: Request) -> Answer:
    """Mark an answer: the verdict as HTML and in a sentence, the grade and the reader's new card."""
    asked = _question(request)
    answers = [str(each) for each in request.get("answers", [])]
    try:
        marked = marking.mark(asked, answers, asked_system(request.get("system")))
    except InputError as trouble:
        return {"error": _sentence(trouble)}
    grade = marked.grade(not request.get("unsure") and not request.get("worked"))
    card = schedule.review(progress.read_card(request.get("card")), grade, today_of(request))
    return _remembered(request, asked.form.objective, grade) | {
        "right": marked.right, "html": pages.marked_html(asked, marked, plain_place(request)), "spoken": _said(marked),
        "card": progress.card_data(card), "again": card.due <= today_of(request), "grade": grade,
    }


def _sentence(trouble: InputError) -> str:
    return f"{trouble.message[0].upper()}{trouble.message[1:]}."


def _said(marked: marking.Marking) -> str:
    if marked.right:
        return "Right."
    return f"Not right. It looks as if {marked.slip}." if marked.slip else "Not right."


def graded(request: Request) -> Answer:
    """A reader's own grade, as in the mock oral: had it, partly, missed."""
    grades = {"had": marking.RIGHT_AND_SURE, "partly": marking.RIGHT_UNSURE, "missed": marking.WRONG}
    form, grade = form_named(str(request["form"])), grades[str(request["grade"])]
    card = schedule.review(progress.read_card(request.get("card")), grade, today_of(request))
    return _remembered(request, form.objective, grade) | {
        "card": progress.card_data(card), "form": form.id, "grade": grade,
    }


def _remembered(request: Request, objective: str, grade: int) -> Answer:
    """The reader's new memory of an objective. Without the model there is none, and the card carries on alone."""
    before = progress.read_memories(request.get("memory", {})).get(objective)
    if not before and request.get("card"):
        form = form_named(str(request["form"]))
        before = memory.from_cards([form], {form.id: progress.read_card(request["card"])}).get(objective)
    answer, today = {"objective": objective}, today_of(request)
    try:
        checked = memory.model().checked(progress.read_checked(request.get("checked")), before, grade, today)
        after = memory.model().after(before, grade, today)
        answer |= {"checked": asdict(checked)} if checked.count else {}
        return answer | {"memory": progress.memory_data(after)}
    except memory.Missing:
        return {"needs": PART} | answer


# --- try first -------------------------------------------------------------------------------------


def try_open(request: Request) -> Answer:
    """The form that asks for a figure of a calculator before it is shown."""
    texts = {str(name): str(text) for name, text in request.get("inputs", {}).items()}
    try:
        result = calculator(str(request["calculator"])).answer(texts, asked_system(request.get("system")))
    except InputError as trouble:
        return {"error": f"{trouble.label}: {trouble.message}"}
    figures = marking.figures_to_try(result)
    if not figures:
        return {"error": "This answer is in words, so there is no figure to work out first."}
    within = {each.name: marking.try_within(each) for each in figures}
    return {
        "html": pages.try_html(result, figures, within, f"{plain_place(request)}-try"),
        "names": [each.name for each in figures],
    }


def try_mark(request: Request) -> Answer:
    """Mark a tried figure, with the worked steps to be shown line by line."""
    texts = {str(name): str(text) for name, text in request.get("inputs", {}).items()}
    name = str(request["what"])
    try:
        marked, result = marking.mark_try(
            str(request["calculator"]), texts, name, str(request.get("answer", "")), asked_system(request.get("system")),
        )
    except InputError as trouble:
        return {"error": _sentence(trouble)}
    return {
        "right": marked.right, "html": pages.tried_html(result[name], marked, result, f"{plain_place(request)}-tried"),
        "spoken": _said(marked),
    }


# --- progress ----------------------------------------------------------------------------------------


def state(request: Request) -> Answer:
    """Read a progress file or the browser's storage; what is wrong comes back in words and nothing else."""
    try:
        read = progress.read_state(str(request["text"]))
    except progress.StateError as trouble:
        return {"refused": str(trouble)}
    return {
        "state": progress.state_data(read), "profiles": len(read.profiles),
        "cards": sum(len(each.cards) for each in read.profiles),
    }


def bring(request: Request) -> Answer:
    """A progress file beside the state here: what it would change, reader by reader, and the state with it joined once
    nothing is left to ask. What is wrong comes back in words and changes nothing.
    """
    try:
        here = progress.read_state(json.dumps(request["state"]))
        file = progress.read_state(str(request["text"]))
    except progress.StateError as trouble:
        return {"refused": str(trouble)}
    met = progress.meetings(here, file)
    choices = {int(place): str(choice) for place, choice in request.get("choices", {}).items()}
    told: Answer = {
        "html": pages.meetings_html(met, here), "asks": [place for place, each in enumerate(met) if each.asks],
        "adds": any(each.adds for each in met),
    }
    try:
        model = memory.model()
    except memory.Missing:
        model, told = None, {"needs": PART} | told
    try:
        return told | {"state": progress.state_data(progress.imported(here, file, choices, model))}
    except progress.StateError as trouble:
        return told | {"waits": str(trouble)}


def _standings(request: Request) -> dict[str, progress.Progress]:
    """The standing of the reader's objectives. Raises `StateError`."""
    text = {"format": progress.FORMAT, "version": progress.VERSION, "profiles": [request["profile"]]}
    (profile,) = progress.read_state(json.dumps(text)).profiles
    return progress.standings(profile)


def standing(request: Request) -> Answer:
    """The standing of one reader by objective."""
    try:
        found = _standings(request)
    except progress.StateError as trouble:
        return {"refused": str(trouble)}
    return {
        "objectives": {
            name: {"word": each.word, "forms": each.forms, "tried": each.tried, "right": each.right}
            for name, each in found.items()
        },
    }


# --- worksheets ---------------------------------------------------------------------------------------


def papers(request: Request) -> Answer:
    """Worksheets or a mock oral as HTML, the same that the command line prints."""
    given = {str(name): value for name, value in request.get("settings", {}).items()}
    try:
        settings = settings_of(given)
    except WorksheetError as trouble:
        return {"refused": str(trouble)}
    if given.get("oral") is True:
        return {"html": oral.oral_html(settings), "line": oral.line_of_command(settings)}
    return {"html": worksheet.as_html(settings), "line": settings.line()}


DO: dict[str, Callable[[Request], Answer]] = {
    "practice-menu": menu, "practice-daily": daily, "practice-mixed": mixed, "practice-link": linked,
    "practice-ready": am_i_ready, "practice-oral": oral_of_the_day, "practice-question": question, "practice-mark": mark,
    "practice-grade": graded, "practice-worked": work_first, "practice-worked-mark": work_mark,
    "try-open": try_open, "try-mark": try_mark, "progress-read": state, "progress-standing": standing,
    "progress-bring": bring, "plates-told": hands, "plates-form": plate_form, "plates-log": plate_log,
    "plates-of-records": plates_of_records,
    "worksheet": papers,
}
