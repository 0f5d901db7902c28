"""The guide's texts, line by line, and what is wrong with their words.

The list is docs/terms.toml; spelling stands here.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from tools.build.terms import Rule, rules
from tools.common import ROOT

# British spellings, and what the US writes for them. A stem may stand inside a longer word.
SPELLING = (
    (r"\w*?(?:colo|favo|behavio|neighbo|labo|vapo|harbo|hono|rigo|armo|odo)ur\w*", "-or"),
    (r"(?:milli|centi|kilo|deci)?(?:met|lit|fib|cent)res?", "-er"),
    (r"(?:bevel|travel|label|level|cancel|model|fuel|signal|total|channel|tunnel|dial|chisel|panel|pencil|shovel)l(?:ed|ing|er|ers)", "one l"),
    (r"(?:organ|recogn|real|oxid|carbur|standard|minim|max|maxim|optim|summar|general|special|author|normal|neutral|stabil|final|util"
     r"|emphas|character|categor|magnet|pressur|vapor|galvan|priorit|visual|crystal|memor)is(?:e|ed|es|er|ing|ation|able)", "-ize"),
    (r"(?:anal|paral|catal)ys(?:e|ed|es|ing)", "-yze"),
    (r"licence[sd]?", "license"), (r"practis(?:e|es|ed|ing)", "practice"), (r"(?:de|of|pre)fence", "-ense"), (r"judgement\w*", "judgment"),
    (r"alumini\w+", "aluminum"), (r"sulphur\w*", "sulfur"), (r"tyres?", "tire"), (r"grey\w*", "gray"), (r"moulds?", "mold"),
    (r"smould\w+", "smolder"), (r"programmes?", "program"), (r"catalogues?", "catalog"), (r"(?:to|after|for|back|down|up|in|out)wards", "without s"),
    (r"(?:learn|burn|spoil|spell?|lean)t", "-ed"), (r"whilst|amongst", "while, among"), (r"vices?(?=\s+(?:jaw|on the bench))", "vise"),
    (r"spanners?", "wrench"), (r"petrol", "gasoline"), (r"anti-?clockwise", "counterclockwise"), (r"fortnight", "two weeks"),
    (r"rubbish", "trash"), (r"metre\w*", "meter"), (r"ageing", "aging"), (r"cheques?", "check"), (r"ploughs?", "plow"), (r"draughts?", "draft"),
    (r"arrestors?", "arrestor"), (r"fulfil(?:s|ment)?", "fulfill"), (r"instal(?:s|ment)?", "install"), (r"enrol(?:s|ment)?", "enroll"),
)
SPELLED = re.compile("|".join(rf"\b(?:{stem})\b" for stem, better in SPELLING if stem != r"arrestors?"), re.IGNORECASE)

# "an" goes before a sound, not a letter. What sounds otherwise than it is written:
A_BEFORE = re.compile(
    r"(?:u(?:[bst][aeiou]|k|sb|s[a-z]*\b|ni|ti|ri)|eu|ewe|one|once)|U(?:-|S\b|SB\b|V\b|$)", re.IGNORECASE,
)
AN_BEFORE = re.compile(
    r"(?:hour|hono|heir|herb)|[FHLMNRSX]\d|(?:8|11|18)(?!\d)|80(?!\d)|8[0-9](?!\d)|(?:[AEFHILMNORSX](?![a-z])(?:[A-Z0-9]|\b))"
)
DOUBLED_IS_RIGHT = {"that", "had"}
# A word after "1" that ends in s and is no plural.
ONE_IS_RIGHT = r"(?!(?:lies|starts|means|stands|gives|says|shows|is|was|has|as|its|this|pass|gas|plus|less|less|across|process|glass|class|basis|thickness|loss|us|ends|counts|takes)\b)"

RULES = (
    ("doubled word", re.compile(r"\b([A-Za-z]+) \1\b"), "once"),
    ("a or an", re.compile(r"\b([Aa]n?) ([A-Za-z0-9][\w.-]*)"), ""),
    ("number", re.compile(rf"(?<![\w./-])1 {ONE_IS_RIGHT}[a-z]{{3,}}s\b(?!')"), "one and the singular"),
)


@dataclass(frozen=True)
class Line:
    """A text that a reader sees, and where it stands."""

    path: str
    number: int
    text: str


@dataclass(frozen=True)
class Fault:
    line: Line
    found: str
    better: str

    def __str__(self) -> str:
        return f"{self.line.path}:{self.line.number}: “{self.found}”: {self.better}"


# --- what a reader sees ------------------------------------------------------------

MARK = re.compile(r"\[(calculator|fact|source|term|objective|picture|record): ([^\]\n]+)\]")
WORD = re.compile(r"[A-Za-z]+")
READABLE = re.compile(r"[A-Za-z]{2,}")


def _mark(match: re.Match[str]) -> str:
    name, text = match[1], match[2]
    match name:
        case "term" | "picture":
            return text.rpartition("|")[2].strip() if name == "term" or "|" in text else ""
        case "calculator":
            return " ".join(re.findall(r'case="([^"]*)"', text))
    return "\N{BLACK SQUARE}"


def of_markdown(path: str, text: str) -> Iterator[Line]:
    fenced = False
    for number, line in enumerate(text.splitlines(), 1):
        if line.lstrip().startswith("```"):
            fenced = not fenced
        if fenced or re.match(r"\s*<(?!section|p)", line):
            continue
        line = MARK.sub(_mark, line)
        line = re.sub(
            r"`[^`]*`|\]\([^)]*\)|\{[^}]*\}|<[^>]*>|\[(?:sources|register|documents|reference|objectives|my objectives|licences|changelog|glossary|limits|from memory)\]",
            " \N{BLACK SQUARE} ", line,
        )
        yield Line(path, number, line)


def of_python(path: str, text: str) -> Iterator[Line]:
    """Strings of more than one word, or with a capital letter first; a placeholder is a square.

    Docstrings are no text of the page.
    """
    tree = ast.parse(text)
    inside = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            inside.add(id(node.value))
        if isinstance(node, ast.JoinedStr):
            inside.update(id(part) for part in node.values if isinstance(part, ast.Constant))
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            shown = "".join(
                part.value if isinstance(part, ast.Constant) else "\N{BLACK SQUARE}" for part in node.values
            )
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inside:
            shown = node.value
        else:
            continue
        if _is_text(shown):
            yield Line(path, node.lineno, re.sub(r"<[^>]*>|\{[^}]*\}", "\N{BLACK SQUARE}", shown).replace("\n", " "))


def _is_text(shown: str) -> bool:
    return bool(READABLE.search(shown)) and "import " not in shown and "|licences|" not in shown and (
        " " in shown.strip() or shown[:1].isupper()
    )


STRING = re.compile(r"\"((?:[^\"\\\n]|\\.)*)\"|'((?:[^'\\\n]|\\.)*)'|`((?:[^`\\]|\\.)*)`")
NO_TEXT = re.compile(r"\s*(?:id|kind|objective|source|calculator|ask|chapter|page|within|picture|draw|scene)\s*=")


def of_toml(path: str, text: str) -> Iterator[Line]:
    for number, line in enumerate(text.splitlines(), 1):
        if NO_TEXT.match(line) or line.lstrip().startswith("#"):
            continue
        for match in STRING.finditer(line):
            shown = match[1] or match[2] or ""
            if _is_text(shown):
                yield Line(path, number, re.sub(r"\{[^}]*\}", "\N{BLACK SQUARE}", shown))


def of_script(path: str, text: str) -> Iterator[Line]:
    bare = re.sub(r"/\*.*?\*/", lambda found: "\n" * found[0].count("\n"), text, flags=re.DOTALL)
    bare = re.sub(r"(?<![:\"'`\\])//.*", "", bare)
    for match in STRING.finditer(bare):
        shown = next((part for part in match.groups() if part), "")
        if _is_text(shown) and not re.match(r"[.#\[]|[a-z]+[\[.:#>]", shown):
            yield Line(
                path, bare.count("\n", 0, match.start()) + 1,
                re.sub(r"\$\{[^}]*\}|<[^>]*>", "\N{BLACK SQUARE}", shown).replace("\n", " "),
            )


def of_list(path: str, text: str) -> Iterator[Line]:
    """Of the list of words only what the glossary shows."""
    shown = False
    for number, line in enumerate(text.splitlines(), 1):
        if line.startswith("mean = "):
            shown = True
        if shown:
            yield Line(path, number, line.removeprefix("mean = "))
            shown = line.endswith("\\")


def of_plain(path: str, text: str) -> Iterator[Line]:
    for number, line in enumerate(text.splitlines(), 1):
        yield Line(path, number, re.sub(r"<[^>]*>|\{\{.*?\}\}|[\w-]+\.md\b", " \N{BLACK SQUARE} ", line))


def of_approved(path: str, text: str) -> Iterator[Line]:
    """The sentences of the approved answers: here shows what a template makes."""
    for number, line in enumerate(text.splitlines(), 1):
        if re.search(r"[a-z] .*[.!]$", line) and not line.startswith(("[", "~", "=", "step")):
            # The names of inputs and figures stand before a colon; the parts of a drawing are named as calc names them.
            yield Line(path, number, re.sub(r"^[a-z_. ]+: |<[^>]*>|Not to scale: [a-z ]+ drawn", "", line))


READERS = (
    ("tests/calc/approved/*.txt", of_approved), ("docs/*.md", of_markdown), ("README.md", of_markdown),
    ("docs/terms.toml", of_list), ("mkdocs.yml", of_plain), ("overrides/*.html", of_plain), ("calc/**/*.py", of_python),
    ("calc/questions/*.toml", of_toml), ("docs/assets/*.js", of_script), ("tools/build/hooks/*.py", of_python),
    ("tools/build/*_pages.py", of_python), ("tools/build/lists.py", of_python), ("tools/build/marks.py", of_python),
    ("tools/build/engine/*.js", of_script), ("tools/build/engine/*.mjs", of_script),
)


@cache
def lines() -> dict[str, tuple[Line, ...]]:
    """Every file with text for readers: its lines."""
    found = {}
    for pattern, read in READERS:
        for path in sorted(ROOT.glob(pattern)):
            name = path.relative_to(ROOT).as_posix()
            found[name] = tuple(read(name, path.read_text(encoding="utf-8")))
    return found


# --- what is wrong -------------------------------------------------------------------


@cache
def _pattern(rule: Rule) -> tuple[re.Pattern[str], re.Pattern[str] | None]:
    """The forbidden words, and the phrases in which they are right. A capital letter is compared exactly."""
    def one(word: str) -> str:
        exact = word != word.lower()
        body = re.escape(word).replace(
            r"\*\*", "@@",
        ).replace(r"\*", r"\w*") if not word.startswith("*") else re.escape(word)
        body = body.replace("@@", r"\*\*")
        left, right = (r"(?<![\w-])", r"(?![\w-])") if not word.startswith("*") else ("", "")
        return f"{left}{body}{right}" if exact else f"(?i:{left}{body}{right})"

    bad = re.compile("|".join(one(word) for word in sorted((word for word, _ in rule.bad), key=len, reverse=True)))
    fine = re.compile("|".join(one(word) for word in sorted(rule.right, key=len, reverse=True))) if rule.right else None
    return bad, fine


@cache
def _by_first_word() -> dict[str, tuple[Rule, ...]]:
    """The rules by the first word of what they forbid, so that a line asks only those that it can break."""
    found: dict[str, list[Rule]] = {}
    for rule in rules():
        for first in {WORD.search(word)[0].lower() for word, _ in rule.bad}:
            found.setdefault(first, []).append(rule)
    return {first: tuple(each) for first, each in found.items()}


def _rules_for(text: str) -> list[Rule]:
    by_first = _by_first_word()
    return list(dict.fromkeys(rule for word in WORD.findall(text) for rule in by_first.get(word.lower(), ())))


def faults_of(line: Line) -> list[Fault]:
    """What is wrong in one line."""
    found = []
    for rule in _rules_for(line.text):
        if rule.only and not line.path.startswith(rule.only):
            continue
        if any(word in line.text for word in rule.beside):
            continue
        bad, fine = _pattern(rule)
        text = fine.sub(lambda match: "\N{BLACK SQUARE}" * len(match[0]), line.text) if fine else line.text
        better = {word.lower(): better for word, better in rule.bad}
        why = f". {rule.why}" if rule.why else ""
        found += [
            Fault(line, match[0], f"say “{better.get(match[0].lower(), rule.word)}”{why}")
            for match in bad.finditer(text)
        ]
    for match in SPELLED.finditer(line.text):
        better = next(better for stem, better in SPELLING if re.fullmatch(rf"(?:{stem}).*", match[0], re.IGNORECASE))
        found.append(Fault(line, match[0], f"US spelling: {better}"))
    for name, pattern, better in RULES:
        for match in pattern.finditer(line.text):
            if name == "a or an":
                wanted = article(match[2])
                if wanted and match[1].lower() != wanted and not _is_letter(match):
                    found.append(Fault(line, match[0], f"{wanted} {match[2]}"))
            elif not (name == "doubled word" and match[1].lower() in DOUBLED_IS_RIGHT):
                found.append(Fault(line, match[0], f"{name}: {better}"))
    return found


def _is_letter(match: re.Match[str]) -> bool:
    """A capital A may be a name: plate A, 20 A, category A."""
    before = match.string[:match.start()].rstrip()
    return match[1] == "A" and bool(before) and before[-1] not in ".:!?|*>“\"(-"


def article(word: str) -> str:
    """The article that a word takes; empty where it can't be told.

    >>> [article(word) for word in ("hour", "usual", "unit", "E7018", "8", "1", "opening", "SI", "US", "one", "unlit", "use")]
    ['an', 'a', 'a', 'an', 'an', 'a', 'an', 'an', 'a', 'a', 'an', 'a']
    """
    if A_BEFORE.match(word) and not word.lower().startswith(("unin", "unim", "unid", "unsu", "unti", "unre", "uns")):
        return "a"
    if AN_BEFORE.match(word):
        return "an"
    if word[0].isdigit():
        return "a"
    return "an" if word[0].lower() in "aeiou" else "a"


@cache
def faults() -> dict[str, tuple[Fault, ...]]:
    """Every file with faults."""
    found = {path: tuple(fault for line in texts for fault in faults_of(line)) for path, texts in lines().items()}
    return {path: each for path, each in found.items() if each}
