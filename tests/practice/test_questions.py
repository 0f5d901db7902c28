"""Every question form, drawn 200 times: valid, unambiguous, and wrong where it should be wrong."""

from __future__ import annotations

import difflib
import itertools
import math
import re
from collections import Counter
from fractions import Fraction
from html import unescape

import pytest

from calc.catalogue import FACTS
from calc.core.declare import Amount, InputError, phrase_text
from calc.core.units import SYSTEMS
from calc.practice import forms, slips
from calc.practice.chance import Chance, fnv1a
from calc.practice.forms import CHAPTERS, Hazard, Judge, Number, Order, all_forms, form_named
from calc.practice.marking import mark
from calc.practice.measured import shows
from calc.practice.pages import citations, drawn_svgs, marked_html, question_html, solution
from calc.practice.pictures import PICTURES
from calc.practice.questions import Question, draw, in_order, line_texts, tolerance_of, worked_steps
from calc.practice.solution import symbols
from calc.show.html import citation_html, phrase_html
from tests.anchors import PAGES, marks

SEEDS = range(200)
SLIPS_OF = 30
"""Slips are worked out by the calculator again, so that many different draws stand for all."""
FORMS = all_forms()


def different(form: forms.Form) -> list[Question]:
    """The questions that 200 seeds draw, each set of numbers once: the rest differ only in the order shown."""
    return list(
        {tuple(sorted(question.inputs.items())): question for question in (draw(form, seed) for seed in SEEDS)}.values()
    )


def test_no_question_file_has_a_problem():
    assert forms.problems() == []


def test_the_guide_holds_what_it_promises():
    assert len(FORMS) >= 250
    assert {form.chapter for form in FORMS} == set(CHAPTERS)
    assert {form.kind for form in FORMS} == set(forms.KINDS)
    asked = {form.text + form.picture + "".join(line_texts(form)) for form in FORMS}
    assert len(asked) == len(FORMS), "two forms ask the same"


def test_every_objective_exists_and_is_practiced():
    known = {text for page in PAGES for _, text in marks(page, "objective")}
    used = {form.objective for form in FORMS}
    assert used - known == set(), "no page has these objectives"
    assert known - used == set(), "objectives without a question"


def test_every_source_is_of_the_register():
    known = {each.id for each in FACTS} | {forms.COMMON_PRACTICE, forms.CALCULATOR_SOURCE}
    assert {source for form in FORMS for source in form.sources} <= known
    assert all(form.sources for form in FORMS)


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.id)
def test_200_seeds_draw_questions_that_can_be_asked(form):
    for question in (draw(form, seed) for seed in SEEDS):
        text = phrase_text(question.text, "us")
        assert text and "{" not in text and "}" not in text
        assert len(set(question.shown)) == len(question.shown) <= len(line_texts(form))
    shown = [phrase_text(line, system).casefold().strip(" .") for system in SYSTEMS for line in question.lines]
    assert len(set(shown)) * 2 >= len(shown), "two lines say the same"
    assert draw(form, SEEDS[-1]) == question


@pytest.mark.parametrize("form", [form for form in FORMS if form.kind in ("choice", "flaw")], ids=lambda form: form.id)
def test_one_option_is_right_and_every_other_is_wrong(form):
    for seed in SEEDS:
        question = draw(form, seed)
        verdicts = [mark(question, [str(place)]).right for place in range(len(question.shown))]
        assert verdicts.count(True) == 1


@pytest.mark.parametrize("form", [form for form in FORMS if form.kind == "judge"], ids=lambda form: form.id)
def test_one_verdict_is_right_and_draws_lead_to_different_ones(form):
    seen = set()
    for question in different(form):
        assert len(question.right) == 1, question.inputs
        assert [mark(question, [str(place)]).right for place in range(len(question.shown))].count(True) == 1
        seen.add(question.right)
    assert isinstance(form.body, Judge)
    assert form.body.drawn is None or len(seen) >= 2, "every draw has the same verdict"


@pytest.mark.parametrize("form", [form for form in FORMS if form.kind == "order"], ids=lambda form: form.id)
def test_only_the_right_order_is_right(form):
    assert isinstance(form.body, Order)
    for seed in SEEDS:
        question = draw(form, seed)
        assert not in_order(form.body, question.shown), "shown in order already"
        assert mark(question, [str(place) for place in question.right]).right
        assert not mark(question, [str(place) for place in reversed(question.right)]).right
        assert not mark(question, [str(place) for place in range(len(question.shown))]).right


@pytest.mark.parametrize("form", [form for form in FORMS if form.kind == "hazard"], ids=lambda form: form.id)
def test_only_all_hazards_and_nothing_else_is_right(form):
    assert isinstance(form.body, Hazard)
    question = next(each for each in (draw(form, seed) for seed in SEEDS) if each.right)
    places = range(len(question.shown))
    right = [str(place) for place in question.right]
    assert mark(question, right).right
    assert not mark(question, right[1:]).right and mark(question, right[1:]).missed == (question.right[0],)
    fine = next(place for place in places if place not in question.right)
    assert not mark(question, [*right, str(fine)]).right and mark(question, [*right, str(fine)]).extra == (fine,)
    counts = {len(draw(form, seed).right) for seed in SEEDS}
    assert counts <= set(range(6)) and len(counts) >= 4, "how many are wrong can be guessed"


def test_a_scene_may_have_nothing_wrong_and_an_answer_of_nothing_is_marked():
    drawn = [draw(form, seed) for form in FORMS if form.kind == "hazard" for seed in SEEDS]
    clean = [question for question in drawn if not question.right]
    assert 0.08 < len(clean) / len(drawn) < 0.35
    assert mark(clean[0], []).right and "Nothing here is wrong." in solution(clean[0], "q")
    told = marked_html(clean[0], mark(clean[0], ["0"]), "q")
    assert "You missed 0 and marked 1 that is all right." in told and "(you marked it)" in told


@pytest.mark.parametrize("form", [form for form in FORMS if form.kind == "looks"], ids=lambda form: form.id)
def test_each_look_is_asked_for_its_own_name(form):
    asked = set()
    for seed in range(60):
        question = draw(form, seed)
        asked.add(question.pictured)
        right = [str(place) for place in question.right]
        assert 2 <= len(right) <= 3 and mark(question, right).right
        named = tuple(form.body.looks[place].picture for place in question.pictured)
        assert question.drawings == named and len(set(named)) == len(named)
        other = str(next(place for place in range(len(question.shown)) if place != question.right[0]))
        marked = mark(question, [other, *right[1:]])
        assert not marked.right and marked.missed == (0,) and "Drawing 1 (you named another):" in solution(question, "q", marked)
    assert len(asked) >= 20
    with pytest.raises(InputError, match="choose a name for each drawing"):
        mark(question, ["", *right[1:]])


@pytest.mark.parametrize("form", [form for form in FORMS if form.kind == "number"], ids=lambda form: form.id)
def test_a_figure_is_right_in_both_systems_and_its_slips_are_wrong(form):
    assert isinstance(form.body, Number)
    drawn = different(form)
    checked = drawn[:SLIPS_OF]
    clear = {slip.says: 0 for slip in form.body.slips}
    for question in drawn:
        value = question.asked
        if value.amount is None:
            assert mark(question, [value.wording.split()[0]]).right
            continue
        within, amount = tolerance_of(question.asked, question.form.body.within), float(value.amount)
        assert within < 0.8 * abs(amount) or amount == 0, "the tolerance swallows the answer"
        for system in SYSTEMS:
            assert mark(
                question, [value.text(system).partition(" (")[0].replace("\u202f", "")], system,
            ).right, (question.inputs, system)
        for slip in form.body.slips if question in checked else ():
            wrong = slips.declared_amount(slip, question.result.calculator, question.result, value)
            assert wrong is not None, (slip.says, question.inputs)
            clear[slip.says] += abs(wrong - amount) > slips.CLEAR * within
    # For some numbers a slip gives the right figure, and then it is not named; a slip that never shows is none.
    assert all(clear.values()) or drawn[0].asked.amount is None, clear
    # The general slips are worked out anew each time, so a few draws stand for all.
    for question in [each for each in drawn if each.asked.amount is not None][:3]:
        amount, within = float(question.asked.amount), tolerance_of(question.asked, question.form.body.within)
        for candidate in slips.candidates(question.result.calculator, question.result, question.asked, form.body.slips):
            named = slips.recognised(
                question.result.calculator, question.result, question.asked, candidate.amount, within, form.body.slips,
            )
            if abs(candidate.amount - amount) <= within:
                assert not named, candidate
            elif named:
                said = {each.says: each.amount for each in all_of(question)}
                assert said[named] == pytest.approx(candidate.amount, rel=slips.NEAR), (candidate, named)


@pytest.mark.parametrize("form", [form for form in FORMS if form.kind == "number"], ids=lambda form: form.id)
def test_numbers_vary(form):
    answers = {question.asked.text("us") for question in different(form)}
    assert len(answers) >= 3, answers


def lengths(question: Question, name: str) -> list[float]:
    """The figures of an input that the drawing shows to be measured, in base units."""
    if name not in question.inputs:
        return []
    found = question.result.calculator.read(question.result.inputs)[0][name]
    return [float(each) for row in (found if isinstance(found, tuple) else ((found,),)) for each in row if isinstance(each, Fraction)]


def all_of(question: Question) -> list[slips.Candidate]:
    """Every slip of a question, the least likely first, so that a dict of them keeps the likeliest figure."""
    body = question.form.body
    return list(slips.candidates(question.result.calculator, question.result, question.asked, body.slips))[::-1]


FIGURES = [form for form in FORMS if form.kind == "number" and draw(form, 1).asked.amount is not None]


@pytest.mark.parametrize("form", FIGURES, ids=lambda form: form.id)
def test_a_slip_is_named_only_where_the_answer_fits_it_tightest(form):
    question = draw(form, 1)
    value, unit = question.asked, question.asked.kind.us
    right = float(value.amount)
    for number in ("0", "0.75", "1", "3", "7.5", "10", "29", "1000"):
        marked = mark(question, [number])
        answer = float(unit.to_base(Fraction(number)))
        fitting = [each for each in all_of(question) if each.says == marked.slip]
        if not marked.slip:
            continue
        assert number != "0" or unit.offset, marked.slip
        distance = min(abs(each.amount - answer) for each in fitting)
        assert distance <= slips.NEAR * abs(answer) * 1.01 and distance < abs(answer - right) / 2, marked.slip
        for each in all_of(question):
            farther = abs(each.amount - fitting[-1].amount) > 1e-6 * abs(each.amount)
            assert not farther or abs(each.amount - answer) > distance or abs(each.amount - right) < 1e-3 * abs(right)


@pytest.mark.parametrize("form", FIGURES, ids=lambda form: form.id)
def test_what_the_guide_prints_is_right(form):
    for question in different(form)[:40]:
        for system in SYSTEMS:
            text = question.asked.text(system).replace("about ", "").replace("\u202f", "")
            for printed in re.findall(r"[^()]+", text):
                assert mark(question, [printed.strip()], system).right, (question.inputs, printed)


@pytest.mark.parametrize("form", FIGURES, ids=lambda form: form.id)
def test_worked_steps_start_from_the_question(form):
    """An input that the steps start from stands in the text, or it is nothing, or half of what stands there."""
    for question in different(form)[:5]:
        text = phrase_text(question.text, "us")
        told = [float(part.amount) for part in question.text if isinstance(part, Amount)]
        told += [each for name in shows(form.picture) for each in lengths(question, name)]
        told += [float(Fraction(each)) for each in re.findall(r"(?<![0-9/-])[0-9]+(?:\.[0-9]+)?(?![0-9/-])", text)]
        steps = worked_steps(question)
        given = {name: amount for name, amount in question.result.calculator.read(question.result.inputs)[0].items()
                 if isinstance(amount, Fraction | int | float) and not isinstance(amount, bool)}
        made = {step.symbol for step in steps}
        for symbol in (each for step in steps for each in symbols(step.formula) if each.name not in made):
            amount = float(symbol.amount)
            if amount and symbol.kind.us.symbol and any(amount == float(each) for each in given.values()):
                shares = [share * each for each in told for share in (1, 0.5, 60, 3600)]
                assert any(math.isclose(amount, each, rel_tol=1e-6) for each in shares), (symbol.name, text)


@pytest.mark.parametrize(("form", "seed", "written"), [
    ("safety-watch-end-nfpa", 1, "{clock} {half}"), ("after-continuity-due", 1, "{month}/{day}/{year}"),
    ("rods-exposure-time-out", 1, "{hours} h {minutes} min"),
])
def test_times_and_dates_are_read_as_the_shop_writes_them(form, seed, written):
    question = draw(form_named(form), seed)
    word = question.asked.wording
    if form == "rods-exposure-time-out":
        minutes = round(float(question.asked.amount) / 60)
        text = written.format(hours=minutes // 60, minutes=minutes % 60)
    elif ":" in word:
        hour, minute = int(word[:2]), word[3:5]
        text = written.format(clock=f"{hour % 12 or 12}:{minute}", half="pm" if hour >= 12 else "am")
    else:
        year, month, day = word[:10].split("-")
        text = written.format(month=int(month), day=int(day), year=year)
    assert mark(question, [text]).right, text
    with pytest.raises(InputError):
        mark(question, ["25:00 pm" if ":" in word else "13/45/2026 lb"])


def ways_of(form: forms.Form) -> int:
    """In how many ways a form asks, counted to 20; a drawing counts where the seed or the numbers decide it."""
    found: set[object] = set()
    for question in (draw(form, seed) for seed in SEEDS):
        changing = not set(question.drawings) <= set(PICTURES)
        found.add((question.text, frozenset(question.shown), drawn_svgs(question, "q") if changing else ()))
        if len(found) == 20:
            break
    return len(found)


def test_questions_vary():
    """More than eight in ten of the forms in 20 ways and more: other numbers, cases, drawings, lines to choose from. Not one
    form asks the same for ever.
    """
    ways = [ways_of(form) for form in FORMS]
    assert sum(count >= 20 for count in ways) >= 0.85 * len(FORMS)
    assert min(ways) >= 3, [form.id for form, count in zip(FORMS, ways) if count < 3]


def test_the_longest_option_is_no_better_a_guess_than_any():
    longest = shown = 0.0
    forms_of_options = [form for form in FORMS if form.kind in ("choice", "flaw")]
    for form in forms_of_options:
        for question in (draw(form, seed) for seed in range(40)):
            length = [len(phrase_text(line, "us")) for line in question.lines]
            longest += length[question.right[0]] == max(length) and length.count(max(length)) == 1
            shown += 1 / len(length)
    assert longest <= shown + 0.05 * 40 * len(forms_of_options)


JUDGED = [form for form in FORMS if form.kind == "judge" and (form.body.drawn or form.body.cases)]


@pytest.mark.parametrize("form", JUDGED, ids=lambda form: form.id)
def test_every_verdict_is_right_as_often_as_any_other(form):
    """So stop is as likely as go, and a speaker is right half of the time."""
    right = Counter(draw(form, seed).right[0] for seed in SEEDS)
    fair = len(SEEDS) / len(form.body.verdicts)
    assert all(abs(right[place] - fair) < 0.45 * fair for place in range(len(form.body.verdicts))), right


def test_every_judgement_has_cases():
    """A verdict that is right whenever the form comes up is learned by heart: none stands still."""
    assert [form.id for form in FORMS if form.kind == "judge" and form not in JUDGED] == []


SPEAKERS = re.compile(r"\b(friend|partner|helper|classmate|neighbor|colleague|supervisor|instructor)\b[^.]{0,30}\b(says|claims|thinks|argues)\b", re.I)


def test_whoever_says_something_is_right_half_of_the_time():
    speaking = [form for form in FORMS if SPEAKERS.search(form.text)]
    assert len(speaking) >= 5
    for form in speaking:
        assert form in JUDGED or form.kind == "hazard", form.id
        if form in JUDGED and form.body.cases and len(form.body.verdicts) == 2:
            right = Counter(draw(form, seed).right[0] for seed in SEEDS)
            assert 0.4 < right[0] / len(SEEDS) < 0.6, form.id


def test_no_rule_stands_in_the_stem_of_its_own_question():
    """A value that gives the reason of an answer is not told in the question."""
    for form in FORMS:
        stem = {name for fact, name in forms.HOLE.findall(form.text) if fact}
        answers = [text for place, text in forms._all_texts(form) if place != "text" and place != "scene"]
        assert stem.isdisjoint({name for text in answers for fact, name in forms.HOLE.findall(text) if fact}), form.id


def test_no_two_forms_of_an_objective_ask_nearly_the_same():
    asked: dict[str, list[tuple[str, str]]] = {}
    for form in FORMS:
        drawn = form.picture or " ".join(draw(form, 1).drawings)
        plain = re.sub(r"\{[^}]*\}", "#", f"{form.text} {' '.join(line_texts(form))}").lower()
        asked.setdefault(f"{form.objective} {drawn}", []).append((form.id, plain))
    for group in asked.values():
        for (one, text), (other, like) in itertools.combinations(group, 2):
            alike = difflib.SequenceMatcher(None, text, like, autojunk=False)
            assert alike.quick_ratio() < 0.9 or alike.ratio() < 0.85, (one, other)


def test_every_objective_is_more_than_recognized():
    """Each has a form that computes, measures, judges case by case, orders, finds faults or names what is seen."""
    done = {form.objective for form in FORMS if form.kind in ("number", "order", "hazard") or form in JUDGED}
    assert {form.objective for form in FORMS} - done == set()


def test_slips_are_named_as_they_are():
    width = draw(form_named("groove-face-width"), 1)
    t, beta, opening = (
        float(width.result.calculator.read(width.result.inputs)[0][name])
        for name in ("thickness", "bevel_angle", "root_opening")
    )

    def told(metres: float) -> str:
        return mark(width, [f"{metres / 0.0254:.4f} in"]).slip

    assert "half the angle" in told(opening + 2 * t * math.tan(math.radians(beta / 2)))
    assert "whole angle" in told(opening + 2 * t * math.tan(math.radians(2 * beta)))
    assert "sine" in told(opening + 2 * t * math.sin(math.radians(beta)))
    assert "unit" in mark(width, [f"{float(width.asked.amount) * 1000:.2f} in"]).slip, "millimeters given as inches"
    assert told(3.7 * float(width.asked.amount)) == "", "no slip is made up"
    deposit = draw(form_named("passes-speed-deposit"), 1)
    whole = deposit.result.calculator.answer({**deposit.result.inputs, "stub": "0 in"})["deposit"]
    assert "stub" in mark(deposit, [whole.text("us")]).slip


@pytest.mark.parametrize(("form", "answers", "message"), [
    ("groove-face-width", [""], "nothing is written"),
    ("groove-face-width", ["3 kg"], "not a unit of length"),
    ("groove-angle-meaning", [], "choose one answer"),
    ("groove-angle-meaning", ["9"], "from 0 to 3"),
    ("safety-shut-down-order", ["0", "0", "1", "2"], "each number once"),
])
def test_an_answer_that_cannot_be_read_is_refused_in_words(form, answers, message):
    with pytest.raises(InputError, match=message):
        mark(draw(form_named(form), 1), answers)


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.id)
def test_every_form_can_be_shown_and_explained(form):
    question = draw(form, 1)
    asked = question_html(question, "q")
    right = [
        question.asked.text("us") if question.asked.amount is not None else question.asked.wording.split()[0]
    ] if form.kind == "number" else [str(place) for place in question.right]
    told = marked_html(question, mark(question, [text.partition(" (")[0].replace("\u202f", "") for text in right]), "q")
    assert asked.startswith("<form") and 'data-right="true"' in told
    assert "<script" not in asked + told


def shown(html: str) -> str:
    """The words of a page as they are read."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.mark.parametrize(
    "form", [form for form in FORMS if isinstance(form.body, Number | Judge)], ids=lambda form: form.id,
)
def test_a_solution_names_its_sources_and_what_the_calculator_says(form):
    """A figure from a table has no steps, and a judgement of the author no calculator: their sources stand below."""
    question = draw(form, 1)
    page = solution(question, "q")
    told = shown(page)
    for source in citations(question):
        assert shown(citation_html(source)) in told
    judged = isinstance(form.body, Judge) and question.result is not None and question.result.checks
    assert bool(judged) == ("What the calculator says" in told)
    assert ("Study help, not a certification." in told) == (
        isinstance(form.body, Judge) and question.result is not None
    )
    for check in judged or ():
        assert shown(phrase_html(check.phrase)) in told
    carried = "Worked steps" in told and form.sources == ("calculator",)
    assert ('class="question-sources"' in page) != carried, "sources that stand under the steps are not told twice"


def test_chance_is_that_of_its_publications():
    # SplitMix64 with seed 1234567: the first five numbers of the reference implementation.
    stream = Chance(1234567)
    assert [stream.next() for _ in range(5)] == [
        6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821]
    # FNV-1a, 64 bits: test vectors of the draft that describes it.
    assert fnv1a("") == 0xCBF29CE484222325 and fnv1a("foobar") == 0x85944171F73967E8


def test_chance_chooses_from_one_thing_or_more():
    assert Chance("one").below(1) == 0 and Chance("one").choose("a") == "a" and Chance("none").shuffled([]) == []
    for count in (0, -1):
        with pytest.raises(ValueError, match="there is nothing to choose from"):
            Chance("none").below(count)


def test_chance_favors_nothing():
    stream = Chance("even")
    counts = [0] * 6
    for _ in range(6000):
        counts[stream.below(6)] += 1
    # 1000 each are expected; five standard deviations of a fair die are 144.
    assert all(abs(count - 1000) < 144 for count in counts)
