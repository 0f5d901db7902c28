"""Question files as an instructor edits them: what is wrong is told with file, line and field."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest

from calc.practice.forms import QuestionError, check, read, stepped
from calc.practice.marking import mark
from calc.practice.pages import marked_html, question_html
from calc.practice.questions import draw

SOUND = '''chapter = "groove"

[[question]]
id = "groove-one"
kind = "number"
objective = "groove-width"
source = "calculator"
calculator = "groove"
ask = "face_width"
within = "1/32 in"
text = "Plate {thickness} thick. How wide?"
[question.draw]
thickness = ["1/4 in", "3/8 in"]
bevel_angle = "30 deg"

[[question]]
id = "groove-two"
kind = "choice"
objective = "groove-angle"
source = "common practice"
text = """
Which
of these?"""
[[question.option]]
text = "This"
right = true
why = "So it is."
[[question.option]]
text = "That"
why = "No."
[[question.option]]
text = "Neither"
why = "No."
'''


def told(text: str) -> list[str]:
    """Every problem of a file, the form's own and those against the rest of the guide."""
    try:
        return [str(problem) for form in read(text, "groove.toml") for problem in check(form)]
    except QuestionError as trouble:
        return [str(problem) for problem in trouble.problems]


def test_a_sound_file_has_no_problem():
    assert told(SOUND) == []


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        (
            'calculator = "groove"', 'calculator = "grove"', "groove.toml, line 8, field “calculator”: there is no "
            "calculator “grove”",
        ),
        (
            'ask = "face_width"', 'ask = "face_with"', "groove.toml, line 9, field “ask”: calculator “groove” has no "
            "value “face_with”",
        ),
        (
            'within = "1/32 in"', 'within = "1/32 kg"', "groove.toml, line 10, field “within”: “kg” is not a unit of "
            "length",
        ),
        ('"3/8 in"]', '"9 in"]', "groove.toml, line 13, field “thickness”: 9 in is outside the range"),
        ('"3/8 in"]', '"3/8"]', "groove.toml, line 13, field “thickness”: “3/8” has no unit"),
        ("{thickness}", "{thicknes}", "groove.toml, line 11, field “text”: nothing is drawn for {thicknes}"),
        (
            "Plate {thickness} thick.", "Plate.", "groove.toml, line 13, field “thickness”: is drawn, so the text must "
            "hold it",
        ),
        (
            "Plate {thickness}", "Under {fact:cap-limits}, {thickness}", "groove.toml, line 11, field “text”: there is "
            "no fact “cap-limits”",
        ),
        (
            "Plate {thickness}", "Under {3 stone}, {thickness}", "groove.toml, line 11, field “text”: “3 stone” is not "
            "a number with a unit",
        ),
        (
            'bevel_angle = "30 deg"', 'bevel_angel = "30 deg"', "groove.toml, line 14, field “bevel_angel”: groove has "
            "no such input",
        ),
        (
            'source = "common practice"', 'source = "hearsay"', "groove.toml, line 20, field “source”: there is no "
            "fact “hearsay”",
        ),
        (
            'source = "common practice"', 'sourze = "common practice"',
            "groove.toml, line 20, field “sourze”: is not a field here",
        ),
        ('kind = "choice"', 'kind = "riddle"', "groove.toml, line 18, field “kind”: “riddle” is not a kind"),
        ('id = "groove-two"', 'id = "groove-one"', "groove.toml, line 17, field “id”: “groove-one” is used twice"),
        ('id = "groove-two"', 'id = "cutting-two"', "groove.toml, line 17, field “id”: write “groove-”"),
        ("right = true", "right = false", "groove.toml, line 24, field “option”: give one right option or more"),
        ('text = "That"\nwhy = "No."', 'text = "That"', "groove.toml, line 28, field “why”: is missing"),
        ('text = "That"', 'text = "this."', "groove.toml, line 24, field “option”: “this.” is there twice"),
        ('right = true', 'right = "yes"', "groove.toml, line 26, field “right”: write true or false"),
        ('chapter = "groove"', 'chapter = "grove"', "groove.toml, line 1, field “chapter”: “grove” is not a chapter"),
        ('why = "So it is."', 'why = So it is.', "groove.toml, line 27: this is not TOML"),
        (
            '[question.draw]\nthickness = ["1/4 in", "3/8 in"]\nbevel_angle = "30 deg"', "draw = 3",
            "groove.toml, line 12, field “draw”: write a table, [question.draw]",
        ),
        (
            'text = "Plate', 'picture = "a-sheep"\ntext = "Plate', "groove.toml, line 11, field “picture”: there is no "
            "picture “a-sheep”",
        ),
    ],
)
def test_a_problem_is_told_with_its_line_and_field(old, new, problem):
    assert old in SOUND
    found = told(SOUND.replace(old, new, 1))
    assert any(each.startswith(problem) for each in found), found


@pytest.mark.parametrize(("ends", "message"), [
    (("1/4 in", "1 in", "0 in"), "whole steps"),
    (("1/4 in", "1 mm", "1/4 in"), "in one unit"),
    (("1 in", "1/4 in", "1/4 in"), "whole steps"),
    (("1/4 in", "1 in", "1/7 in"), "whole steps"),
    (("0 in", "100 in", "1/64 in"), "at most 100"),
    (("a in", "1 in", "1 in"), "not a number"),
])
def test_a_stepped_range_that_cannot_be_is_refused(ends, message):
    with pytest.raises(ValueError, match=message):
        stepped(*ends)


@pytest.mark.parametrize(
    ("ends", "texts"),
    [
        (("1 in", "2 in", "1 in"), ("1 in", "2 in")), (("1/128 in", "1/64 in", "1/128 in"), ("0.007812 in", "1/64 in")),
        (("1/65 in", "2/65 in", "1/65 in"), ("0.015385 in", "0.030769 in")),
        (("0 mm", "1 mm", "1/4 mm"), ("0 mm", "0.25 mm", "0.5 mm", "0.75 mm", "1 mm")),
        (('1-1/2"', '2"', '1/2"'), ('1-1/2 "', '2 "')),
    ],
)
def test_a_stepped_range_is_written_as_the_shop_writes_it(ends, texts):
    assert stepped(*ends) == texts


HOSTILE = '"><img src=x onerror=alert(1)><script>alert(2)</script><a href="javascript:alert(3)">&lt;'


class _Tags(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.seen: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.seen.add(tag)
        assert not any(name.startswith("on") or (value or "").startswith("javascript:") for name, value in attrs)


@pytest.mark.parametrize(("old", "place"), [
    ('"Plate {thickness} thick. How wide?"', 0), ('"This"', 1), ('"So it is."', 1), ('"That"', 1), ('"""\nWhich\nof these?"""', 1),
])
def test_what_a_question_file_holds_is_never_markup(old, place):
    """Read as it is, asked and marked: the words stand on the page as words."""
    text = SOUND.replace(old, f"'''{HOSTILE}'''", 1)
    assert text != SOUND
    question = draw(read(text, "groove.toml")[place], 1)
    right = [question.asked.text("us").partition(" (")[0]] if place == 0 else [str(each) for each in question.right]
    html = question_html(question, "q") + marked_html(question, mark(question, right), "q")
    assert not {"img", "script"} & _Tags(html).seen
    assert "&lt;img src=x" in html


@pytest.mark.parametrize(("old", "new"), [
    ('"groove-one"', f"'''{HOSTILE}'''"), ('"30 deg"', f"'''{HOSTILE}'''"), ('"1/32 in"', f"'''{HOSTILE}'''"),
    ('"number"', f"'''{HOSTILE}'''"), ('"calculator"', f"'''{HOSTILE}'''"),
])
def test_a_name_or_number_that_is_none_is_refused(old, new):
    assert told(SOUND.replace(old, new, 1))


NUMBERED = SOUND.replace("[question.draw]", """[[question.slip]]
says = "you left out the second plate"
times = "1/2"
[[question.slip]]
says = "you gave the area"
value = "bevel_run"
[[question.slip]]
says = "you halved the angle"
[question.slip.change]
bevel_angle = "half"
[question.draw]""")


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('times = "1/2"', 'times = "1/0"', "groove.toml, line 14, field “times”: write a number or a fraction"),
        ('times = "1/2"', 'times = "half"', "groove.toml, line 14, field “times”: write a number or a fraction"),
        (
            'times = "1/2"', 'times = "2"\nvalue = "bevel_run"',
            "groove.toml, line 13, field “says”: a slip has exactly one of",
        ),
        (
            'value = "bevel_run"', 'value = "no_such"', "groove.toml, line 12, field “slip”: calculator “groove” has "
            "no value “no_such”",
        ),
        (
            'bevel_angle = "half"', 'angle = "half"', "groove.toml, line 12, field “slip”: calculator “groove” has no "
            "input “angle”",
        ),
        ('within = "1/32 in"', 'within = "..%"', "groove.toml, line 10, field “within”: "),
        (
            "bevel_angle = \"30 deg\"", "bevel_angle = 30", "groove.toml, line 24, field “bevel_angle”: write a text, "
            "a list of texts",
        ),
        (
            "bevel_angle = \"30 deg\"", "bevel_angle = { from = 1, to = 2 }", "groove.toml, line 24, field "
            "“bevel_angle”: a range has from, to and step",
        ),
        (
            "bevel_angle = \"30 deg\"", 'bevel_angle = { from = "1 deg", to = "0 deg", step = "1 deg" }',
            "groove.toml, line 24, field “bevel_angle”: whole steps must lead",
        ),
        (
            "bevel_angle = \"30 deg\"", 'bevel_angle = { from = "1/0 deg", to = "9 deg", step = "1 deg" }',
            "groove.toml, line 24, field “bevel_angle”: “1/0 deg” is not a number",
        ),
        ("[question.draw]", 'draw = 3\n[question.drew]', "groove.toml, line "),
        (
            'thickness = ["1/4 in", "3/8 in"]', 'thickness = ["1/4 in", "3/8 in"]\nroot_face = "3/8 in"',
            "groove.toml, line 22, field “draw”: the calculator refuses these numbers",
        ),
        (
            "[question.draw]",
            '[[question.case]]\nroot_opening = "1/4 in"\n[[question.case]]\nroot_face = "0 in"\n[question.draw]',
            "groove.toml, line 22, field “case”: give every case the same fields",
        ),
        (
            "[question.draw]", '[[question.case]]\nbevel_angle = "20 deg"\n[question.draw]',
            "groove.toml, line 22, field “case”: “bevel_angle” stands in the cases and in draw",
        ),
        ('ask = "face_width"', "ask = 3", "groove.toml, line 9, field “ask”: write words in quotes"),
    ],
)
def test_a_problem_of_a_number_is_told_with_its_line(old, new, problem):
    assert told(NUMBERED) == [] and old in NUMBERED
    found = told(NUMBERED.replace(old, new, 1))
    assert any(each.startswith(problem) for each in found), found


CASES = NUMBERED.replace("[question.draw]", """[[question.case]]
say_how = "thin"
root_face = "0 in"
[[question.case]]
say_how = "thick"
root_face = "1/16 in"
[question.draw]""")


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        (
            'root_face = "1/16 in"', 'root_face = "9 in"', "groove.toml, line 27, field “root_face”: 9 in is outside "
            "the range",
        ),
        ('root_face = "0 in"', 'root_face = "0"', "groove.toml, line 24, field “root_face”: “0” has no unit"),
        (
            'root_face = "1/16 in"', 'root_face = "3/8 in"', "groove.toml, line 28, field “draw”: the calculator "
            "refuses these numbers",
        ),
        (
            'say_how = "thick"', 'say_how = "{fact:no-such}"', "groove.toml, line 22, field “case”: there is no fact "
            "“no-such”",
        ),
    ],
)
def test_every_case_is_checked_and_told_with_its_line(old, new, problem):
    assert told(CASES) == [] and old in CASES
    (found,) = told(CASES.replace(old, new, 1))
    assert found.startswith(problem), found


def test_the_problems_of_every_chapter_are_told(monkeypatch):
    from calc.practice import forms

    monkeypatch.setattr(
        forms, "forms_of",
        lambda chapter: forms.read(f'chapter = "{chapter}"\n[[question]]\nkind = "riddle"', f"{chapter}.toml"),
    )
    assert [problem.file for problem in forms.problems(["groove", "cutting"])] == ["groove.toml", "cutting.toml"]
    assert {problem.file for problem in forms.problems()} == {f"{chapter}.toml" for chapter in forms.CHAPTERS}


def test_a_chapter_without_a_file_has_no_questions():
    from calc.practice import forms

    assert forms.forms_of("no-such-chapter") == ()


def question(kind, rest):
    return f'chapter = "groove"\n[[question]]\nid = "groove-a"\nkind = "{kind}"\nobjective = "groove-width"\nsource = "common practice"\ntext = "T"\nwhy = "W"\n{rest}'


CASES_OF_A_FRIEND = """
[[question.verdict]]
says = "Right"
[[question.verdict]]
says = "Wrong"
[[question.case]]
say_what = "A"
right = 1
why = "W"
[[question.case]]
say_what = "B"
right = 2
why = "W"
"""
VERDICTS = '[[question.verdict]]\nsays = "Good"\nright = true\n[[question.verdict]]\nsays = "Bad"\n'
THINGS = "".join(
    f'[[question.thing]]\ntext = "{name}"\nhazard = {hazard}\nwhy = "W"\n'
    for name, hazard in zip("ABCD", ("true", "true", "false", "false"))
)


def options(count):
    return "".join(
        f'[[question.option]]\ntext = "{name}"\nwhy = "W"\nright = {str(name == "A").lower()}\n'
        for name in "ABCDEF"[:count]
    )


POOL = 'chapter = "groove"\n[[pool]]\nname = "names"\n' + "".join(
    f'[[pool.option]]\ntext = "{name}"\nwhy = "W"\n' for name in "ABCD"
)


def things(count):
    return 'scene = "S"\n' + "".join(
        f'[[question.thing]]\ntext = "{name}"\nhazard = {str(name < "C").lower()}\nwhy = "W"\n'
        for name in "ABCDEFGHI"[:count]
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (question("judge", VERDICTS), None),
        (question("judge", CASES_OF_A_FRIEND), None),
        (question("judge", CASES_OF_A_FRIEND.replace("right = 2", "right = 1")), "give every verdict a case"),
        (
            question("judge", CASES_OF_A_FRIEND.replace("right = 2", 'right = "B"')),
            "write the number of the right verdict",
        ),
        (
            question("judge", CASES_OF_A_FRIEND.replace('say_what = "B"', 'say_other = "B"')),
            "give every case the same fields",
        ),
        (question("judge", CASES_OF_A_FRIEND.replace('why = "W"', "", 1)), "is missing"),
        (
            question("judge", CASES_OF_A_FRIEND.replace('"Right"', '"Right"\nright = true')),
            "the cases say which is right",
        ),
        (question("choice", 'pool = "names"\nright = "A"'), "no options are named “names”"),
        (POOL + question("choice", 'pool = "names"\nright = "A"').partition("\n")[2], None),
        (
            POOL + question("choice", 'pool = "names"\nright = "E"').partition("\n")[2],
            "“E” is not an option of “names”",
        ),
        (question("judge", VERDICTS.replace("right = true", "")), "exactly one verdict has right = true"),
        (question("judge", VERDICTS.split("[[question.verdict]]\nsays = \"Bad\"")[0]), "give two verdicts or more"),
        (question("judge", VERDICTS + 'when = "a"\n'), "needs a calculator; write right = true"),
        (
            question("judge", VERDICTS + 'level = "loud"\n'),
            "write one of note, ok, caution, not known, incomplete, stop",
        ),
        (question("judge", 'calculator = "groove"\n' + VERDICTS), "the calculator says which verdict is right"),
        (
            question("judge", 'calculator = "groove"\n' + VERDICTS.replace("right = true", "")),
            "only one verdict may stand without when",
        ),
        (question("order", 'steps = ["A", "B", "C"]\nany_order = [[2, 3]]'), None),
        (question("order", 'steps = ["A", "B"]'), "give 3 to 8 steps"),
        (question("order", f"steps = {list('ABCDEFGH')}"), None),
        (question("order", f"steps = {list('ABCDEFGHI')}"), "give 3 to 8 steps"),
        (question("hazard", 'scene = "S"\n' + THINGS.replace('"B"', '"a."')), "“a.” is there twice"),
        (question("hazard", 'scene = "S"\n' + THINGS.replace("false", "true")), "one thing or more that is fine"),
        (question("hazard", 'scene = "S"\n' + THINGS.replace("true", "false", 1)), "give two hazards or more"),
        (question("hazard", 'scene = "S"\n' + THINGS.replace("false", "true", 1)), None),
        (question("order", 'steps = ["A", "B", "b."]'), "“b.” is there twice"),
        (question("judge", 'calculator = "groove"\n' + VERDICTS.replace("right = true", 'when = "fits"')), None),
        (question("judge", VERDICTS.replace("Bad", "good")), "“good” is there twice"),
        (question("choice", options(6)), None),
        (question("choice", options(3)), None), (question("choice", options(2)), "give 3 to 20 options"),
        (question("hazard", things(8)), None), (question("hazard", things(9)), None),
        (question("hazard", things(3)), "give 4 to 20 things"),
        (question("order", "steps = [1, 2, 3]"), "write words in quotes, or a list of them"),
        (question("order", ""), "is missing"),
        (question("order", 'steps = ["A", "B", "C"]\nany_order = [[1, 3]]'), "write lists of neighboring step numbers"),
        (
            question("order", 'steps = ["A", "B", "C"]\nany_order = [[1, 2, 3]]'),
            "write lists of neighboring step numbers",
        ),
        (
            question("order", 'steps = ["A", "B", "C"]\nany_order = [[1, 2], [1, 2, 3]]'),
            "write lists of neighboring step numbers",
        ),
        (question("order", 'steps = ["A", "B", "C", "D"]\nany_order = [[1, 2], [3, 4]]'), None),
        (question("hazard", 'scene = "S"\n' + THINGS), None),
        (question("hazard", 'scene = "S"\n' + THINGS.replace("true", "false")), "give two hazards or more"),
        (
            question("hazard", 'scene = "S"\n' + THINGS.split("[[question.thing]]\ntext = \"C\"")[0]),
            "give 4 to 20 things",
        ),
        (
            question("hazard", 'scene = "S"\n' + THINGS.replace("hazard = true\n", "")),
            "is missing; write true or false",
        ),
        (question("choice", "option = 3"), "write each as a table of its own, [[question.option]]"),
        (question("choice", '[[question.option]]\ntext = "A"\nwhy = "W"\nright = true\n'), "give 3 to 20 options"),
        (question("order", 'steps = ["A {fact:no-such}", "B", "C"]'), "there is no fact “no-such”"),
        (
            question("order", 'steps = ["A", "B", "C"]').replace("common practice", "calculator"),
            "this form names no calculator",
        ),
    ],
)
def test_each_kind_of_question_says_what_it_lacks(text, said):
    found = told(text)
    assert found == [] if said is None else any(said in each for each in found), found


def test_a_date_is_asked_as_a_date_and_words_as_a_choice():
    words = question("number", 'calculator = "bend-judge"\nask = "verdict"\nwithin = "0"\n')
    assert any("is answered in words; ask it as judge or choice" in each for each in told(words)), told(words)
    warm = question("number", 'calculator = "preheat"\nask = "least"\nwithin = "2 %"\n')
    assert any("a share of a temperature means nothing" in each for each in told(warm)), told(warm)
    in_degrees = warm.replace("2 %", "5 degF")
    assert told(in_degrees) == []
    slip = '[[question.slip]]\nsays = "S"\nvalue = "as_printed"\n'
    assert [
        each.partition(": ")[2] for each in told(in_degrees + slip)
    ] == ["“as_printed” is answered in words; a slip needs a figure"]


def test_a_file_of_another_chapter_is_told(monkeypatch):
    from calc.practice import forms

    monkeypatch.setattr(forms, "forms_of", lambda chapter: forms.read(SOUND, f"{chapter}.toml"))
    assert [str(each) for each in forms.problems(["cutting"])] == [
        "cutting.toml, line 1, field “chapter”: this file is for the chapter “cutting”",
    ]
    assert forms.file_text("no-such") == ""


def test_a_blank_text_needs_no_unit_where_the_field_may_be_blank():
    assert told(SOUND.replace('bevel_angle = "30 deg"', 'cap_width = ""')) == []
    assert told(SOUND.replace('bevel_angle = "30 deg"', 'bevel_angle = ""'))[0].startswith(
        "groove.toml, line 14, field “bevel_angle”: nothing is written here"
    )


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ('chapter = "groove"\na = ' + "[" * 3000, "groove.toml, line 2: lists are nested too deep to be read"),
        (
            'chapter = "groove"\nb = [[[{}]]]\na = ' + "{a = " * 3000,
            "groove.toml, line 3: lists are nested too deep to be read",
        ),
        ('chapter = "groove"\n\na = ' + "9" * 5000 + "\n", "groove.toml, line 3: this number is too long to be read"),
        ('chapter = "groove\u2028"\n\x0b', "groove.toml, line 2: this is not TOML"),
        ("chapter = '\x85'\nid = '", "groove.toml, line 2: this is not TOML"),
    ],
)
def test_a_file_that_python_cannot_read_is_told_by_its_line(text, problem):
    assert told(text)[0].startswith(problem)


def test_what_stands_in_a_long_text_is_no_field():
    """A text over several lines may hold what looks like a field or a table; one in three quotes on one line ends
    there.
    """
    long = SOUND.replace("of these?", "[[question.option]]\nwhy = of these?").replace('text = "That"', 'text = """That"""').replace('text = "Neither"\nwhy', 'text = "Neither"\nwhi')
    missing, extra = told(long)
    assert missing == "groove.toml, line 32, field “why”: is missing" and extra.startswith(
        "groove.toml, line 34, field “whi”: is not a field here"
    )


def test_lines_are_counted_as_toml_counts_them():
    broken = SOUND.replace('text = "That"\nwhy', 'text = "That\u2028one"\nwhi')
    assert any(each.startswith("groove.toml, line 30, field “whi”") for each in told(broken)), told(broken)
