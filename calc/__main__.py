"""The command line: a third face of the same declarations.

    python -m calc                                   the calculators
    python -m calc groove --help                     the inputs of one
    python -m calc groove thickness="3/8 in" --json  an answer as data
    python -m calc groove --svg                      its drawing
    python -m calc cut-list                          a plan, searched for; --quick takes the first one
    python -m calc test my-test.json                 your test, every stage worked out; --help tells the rest
    python -m calc judge record.json                 a record of a test day, judged
    python -m calc judge FILES… --csv                a class at a glance; --help tells the rest
    python -m calc class class.json                  what a class file holds
    python -m calc questions                         check the question files
    python -m calc worksheet --seed 7 --papers 30    worksheets; --help tells the rest
    python -m calc mock-day --seed 7 --examiner      a mock test day; --help tells the rest
    python -m calc practice-plan --simulate          what the plan of practice is worth

Exit code 0 for an answer, 2 with one clear line for an input that cannot be used.
"""

from __future__ import annotations

import json
import os
import sys

from calc.catalogue import CALCULATORS, calculator
from calc.classroom.cli import class_command, judge_command
from calc.cli import refuse
from calc.core.declare import InputError
from calc.planning.cut_list import PLANNERS, ask
from calc.plate_test.cli import test_command
from calc.practice.cli import mock_day_command, plan_command, questions_command, worksheet_command
from calc.show.plot import svg
from calc.show.report import as_json, as_text, usage

COMMANDS = {"judge": judge_command, "questions": questions_command, "worksheet": worksheet_command,
    "practice-plan": plan_command, "mock-day": mock_day_command, "test": test_command, "class": class_command}


def main(arguments: list[str]) -> int:
    """Run one command; returns the exit code."""
    if not arguments or arguments[0] in ("-h", "--help"):
        width = max(len(each.id) for each in CALCULATORS)
        print("Calculators (python -m calc NAME --help for the inputs of one):")
        for each in CALCULATORS:
            print(f"  {each.id:<{width}}  {each.question}")
        return 0
    if arguments[0] in COMMANDS:
        return COMMANDS[arguments[0]](arguments[1:])
    try:
        calc = calculator(arguments[0])
    except KeyError as trouble:
        return refuse(str(trouble.args[0]))
    rest = arguments[1:]
    if "--help" in rest or "-h" in rest:
        print(usage(calc))
        if calc.id in PLANNERS:
            print("The plan is searched for, for some seconds at most; --quick takes the first one.")
        return 0
    given: dict[str, str] = {}
    for argument in rest:
        name, sign, text = argument.partition("=")
        if argument in ("--json", "--svg") or argument == "--quick" and calc.id in PLANNERS:
            continue
        if not sign:
            return refuse(
                f"“{argument}” is not an input; write name=value, as in "
                f"{calc.inputs[0].name}=\"{calc.inputs[0].default}\""
            )
        if name in given:
            return refuse(f"{name} is given twice")
        given[name] = text
    try:
        if calc.id in PLANNERS and "--quick" not in rest:
            asked = ask(calc.id, given, "us")
            result = asked.result(asked.best)
        else:
            result = calc.answer(given)
    except InputError as trouble:
        return refuse(f"{trouble.field}: {trouble}")
    if "--svg" in rest:
        if not result.drawings:
            return refuse(f"{calc.id} has no drawing")
        print("\n".join(svg(drawing, alone=True) for drawing in result.drawings))
        return 0
    print(json.dumps(as_json(result), indent=2, ensure_ascii=False) if "--json" in rest else as_text(result))
    return 0


if __name__ == "__main__":
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        code = main(sys.argv[1:])
        sys.stdout.flush()
    except BrokenPipeError:  # whoever read the lines has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = 0
    sys.exit(code)
