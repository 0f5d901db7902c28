"""What the page asks of a class file. Each handler takes the request and returns plain data; `calc/web.py` lists
them."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

from calc.classroom.classfile import (
    ClassFile, class_from, class_link, read_class, read_class_link, relation, write_class, write_script,
)
from calc.classroom.classfile_page import class_html, class_line
from calc.core.texts import NotText, text_of
from calc.plate_test.qr import Missing, TooLong, qr_svg
from calc.practice import own
from calc.practice.web import linked
from calc.record.shape import RecordError
from calc.record.web import bytes_in, told

Request = dict[str, Any]


@lru_cache(maxsize=4)
def _own(files: tuple[tuple[str, str], ...]) -> own.Own:
    """The questions of a class: they are looked at anew only when they change, not for each key pressed."""
    return own.read_own(dict(files))


def _shown(found: ClassFile) -> dict[str, Any]:
    questions = _own(tuple(found.questions.items()))
    return {
        "html": class_html(found, questions),
        "mine": {
            "id": found.id, "changed": found.changed, "name": found.name, "shop": found.shop,
            "line": class_line(found, questions), "day": found.day, "minutes": found.minutes,
            "questions": len(questions.forms),
        },
    }


def _make(request: Request) -> dict[str, Any]:
    """A class from what the instructor wrote: its file, its script and its link, and what a trainee sees."""
    found = class_from(request["data"])
    read_class(write_class(found))  # What is handed out can be read back, its size too.
    answer = {"text": write_class(found), "script": write_script(found), "link": "", "told": ""}
    if found.practice_set:
        answer["told"] = "; ".join(linked({"fields": found.practice_set})["refused"])
    try:
        answer["link"] = class_link(found)
    except RecordError as trouble:
        answer["long"] = trouble.message
    return answer | _shown(found)


def _text(request: Request) -> dict[str, Any]:
    """The text of a question file, or why it holds none that can be read."""
    try:
        return {"text": text_of(bytes_in(request))}
    except NotText as trouble:
        raise RecordError(str(request["name"])[:120], str(trouble)) from None


def _qr(request: Request) -> dict[str, Any]:
    """The QR code of a link; `needs` names the part of the engine that is not there yet."""
    try:
        return {"html": qr_svg(str(request["link"]), "Link to this class")}
    except Missing as trouble:
        return {"needs": "qr", "told": str(trouble)}
    except TooLong as trouble:
        return {"told": str(trouble)}


def _read(request: Request) -> ClassFile:
    if "link" in request:
        return read_class_link(str(request["link"]))
    if "text" in request:
        return read_class(str(request["text"]))
    return read_class(bytes_in(request))


def _open(request: Request) -> dict[str, Any]:
    """The class in a file or a link, and what it is to the one that the reader is in (`kept`)."""
    found = _read(request)
    kept = request.get("kept") or {}
    return {"text": write_class(found), "relation": relation(found, kept)} | _shown(found)


def _show(request: Request) -> dict[str, Any]:
    """The class that the reader is in, as its page shows it."""
    return _shown(read_class(str(request["text"])))


_taken = [""]
"""Which class's questions are practiced; "" for none."""


def _questions(request: Request) -> dict[str, Any]:
    """Practice the questions of the class named by `key`. Without its `text` it asks for that where it has others."""
    key = str(request["key"])
    if key != _taken[0]:
        if key and "text" not in request:
            return {"wanted": True}
        own.take_beside(read_class(str(request["text"])).questions if key else {})
        _taken[0] = key
    return {"wanted": False}


DO: dict[str, Callable[[Request], dict[str, Any]]] = {
    name: told(do) for name, do in {
        "class-make": _make, "class-text": _text, "class-qr": _qr, "class-open": _open, "class-show": _show,
        "class-questions": _questions,
    }.items()
}
