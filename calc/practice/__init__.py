"""Practice: questions drawn from forms that are data, marked, spaced and printed. Knows no screen and no clock.

Questions stand one file a chapter in calc/questions/; the page Write your own questions tells their fields.

    forms.py                    reads and checks the files; `CHAPTERS` lists them
    chance.py                   numbers from a seed, alike in every Python and browser
    questions.py, marking.py    drawing a question and its right answer; marking an answer
    slips.py, solution.py       what a wrong answer looks like; the steps that lead to one figure
    memory.py, plan.py, ready.py    what is still known on a day; what is asked for the test day; am I ready?
    worked.py, oral.py          worked steps that fade by standing; the mock oral
    schedule.py, progress.py    the older rule, by single questions; standing by objective; the progress file
    plates.py, plates_page.py   practice plates: the chance to pass one, the flaw that comes back; as HTML
    simulate.py                 simulated learners, to see what the plan is worth
    worksheet.py, cli.py        worksheets with answer keys; the command line
    mock_day.py, mock_day_wps.py    a mock test day from a seed: its WPS, its decisions, their keys from the calculators
    mock_day_sheet.py, mock_day_web.py  the same marked, as HTML and on paper; what its page may ask
    pictures.py, looks.py       line drawings; welds as they look
    measured.py, drawn.py       drawings to measure on; all of them by name
    own.py                      questions of a shop
    pages.py, web.py            questions as HTML; what the page may ask

What the tests hold every form to: 200 seeds draw questions that can be asked; exactly one answer is right; a number
is right in both systems, and so is what the guide prints of it; every verdict is right as often as any other; more
than eight forms in ten vary in 20 ways, and none in fewer than three; a scene has none to five faults; the longest
option is no better a guess; worked steps start from what the question tells; every objective of the pages has a form
that computes, measures, judges, orders, finds faults or names what is seen; no value that gives the reason of an
answer stands in its question; no words beside a look name it. A figure that is asked for has its independent path in
tests/practice/test_numbers.py: plain floats, written from the geometry or the document. A share as tolerance (`2 %`)
is a share of the answer, for percentages too. Ids never change: progress and links use them.
"""

from __future__ import annotations

from calc.later import later

DOES = (
    "practice-menu", "practice-daily", "practice-ready", "practice-mixed", "practice-link", "practice-oral",
    "practice-question",
    "practice-mark", "practice-grade", "practice-worked", "practice-worked-mark", "try-open", "try-mark",
    "progress-read", "progress-standing", "worksheet", "progress-bring", "plates-told", "plates-form", "plates-log",
    "plates-of-records",
)
"""What the page may ask of practice; `calc.practice.web` does it."""

MOCK_DOES = ("mock-day", "mock-day-read", "mock-day-mark", "mock-day-print")
PRACTICE_DO = later("calc.practice.web", DOES) | later("calc.practice.mock_day_web", MOCK_DOES)
