"""The command line of class files.

    python -m calc class class.json             what it holds, and what is wrong with its questions
    python -m calc class class.json --script    the same class as class.js, for a guide in a folder
    python -m calc class class.json --link      the text of its link: index.html#class= and this text

Exit code 0 for a class file, 1 where questions of it have problems (each is named), 2 with one clear line for a file
that cannot be read.
"""

from __future__ import annotations

import sys
import textwrap
from pathlib import Path

from calc.classroom.classfile import class_link, read_class, write_script
from calc.classroom.classfile_page import class_text
from calc.classroom.cli import bytes_of
from calc.practice.own import read_own


def class_command(arguments: list[str]) -> int:
    """Tell what a class file holds. The file is read here; calc itself opens nothing."""
    if set(arguments) & {"-h", "--help"}:
        print(textwrap.dedent(__doc__.partition("\n\n")[2]).strip())
        return 0
    options = [word for word in arguments if word.startswith("-")]
    names = [word for word in arguments if word not in options]
    if len(names) != 1 or len(options) > 1 or set(options) - {"--script", "--link"}:
        print("name one class file, and --script or --link; see python -m calc class --help", file=sys.stderr)
        return 2
    try:
        found = read_class(bytes_of(Path(names[0])))
        if options:
            print(write_script(found).rstrip() if options == ["--script"] else class_link(found))
            return 0
    except ValueError as trouble:
        print(f"{names[0]}: {trouble}", file=sys.stderr)
        return 2
    own = read_own(found.questions)
    print(class_text(found, own))
    for problem in own.problems:
        print(problem, file=sys.stderr)
    return 1 if own.problems else 0
