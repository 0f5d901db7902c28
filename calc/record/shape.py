"""The record itself: frozen data, its published JSON form with a version, and the steps from older versions.

Texts stand as the person wrote them; a number without a unit is read in the system that the record names, so a file
means the same on every device. The JSON Schema is made from the same declarations as the form.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from calc.core.declare import Cell, Choice, Input, Rows
from calc.core.units import SYSTEMS, System
from calc.record.fields import FORMS, Form, form_of

FORMAT = "plate-test-record"
VERSION = 2
LONGEST = 500
MOST_PHOTOS = 24
LARGEST = 2_000_000
"""Characters in the file of one record. A full record has about 20 000."""
SCHEMA_ID = "urn:plate-test-guide:record:2"

_NOT_PLAIN = r"[\u0000-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]"
# Some readers let a dollar sign match before a last line break; this matches at the very end only.
_END = r"(?![\s\S])"
FORBIDDEN = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069]")
"""Control characters, halves of characters, and marks that turn the reading direction: never part of a note."""
ID = re.compile(r"[a-z0-9][a-z0-9-]{7,39}")
MOMENT = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]Z")

Row = tuple[str, ...]


class RecordError(ValueError):
    """A file that is not a record. `place` is a JSON Pointer (RFC 6901) to the part that is wrong."""

    def __init__(self, place: str, message: str) -> None:
        super().__init__(f"{place or 'the whole file'}: {message}")
        self.place = place
        self.message = message


@dataclass(frozen=True)
class Photo:
    """A photograph that belongs to a record. The picture itself lies beside the record, named by the id."""

    id: str
    caption: str
    width: int
    height: int


@dataclass(frozen=True)
class Record:
    """One record: its texts by field name, its rows by list name. Blank fields are left out."""

    id: str
    kind: str
    name: str
    created: str
    changed: str
    bare: System = "us"
    archived: bool = False
    invented: bool = False
    values: Mapping[str, str] = field(default_factory=dict)
    rows: Mapping[str, tuple[Row, ...]] = field(default_factory=dict)
    photos: tuple[Photo, ...] = ()

    @property
    def form(self) -> Form:
        """The form that this kind of record fills in."""
        return form_of(self.kind)

    def text(self, name: str) -> str:
        """What is written in a field; nothing where it is blank."""
        return self.values.get(name, "")


def blank(kind: str, identifier: str, moment: str, name: str = "", bare: System = "us") -> Record:
    """A new record with nothing in it.

    >>> blank("test-day", "demo-0001", "2026-03-02T07:30:00Z").text("thickness")
    ''
    """
    return Record(identifier, kind, name, moment, moment, bare)


# --- to and from plain data ----------------------------------------------------


def as_data(record: Record) -> dict[str, Any]:
    """The record as JSON data, blank parts left out."""
    lists = {each.name: each for each in record.form.fields if isinstance(each, Rows)}
    return {
        "format": FORMAT, "version": VERSION, "id": record.id, "kind": record.kind, "name": record.name,
        "created": record.created, "changed": record.changed, "bare_numbers": record.bare, "archived": record.archived,
        "invented": record.invented, "values": {name: text for name, text in record.values.items() if text},
        "rows": {
            name: [
                {column.name: text for column, text in zip(lists[name].columns, row, strict=True) if text}
                for row in rows
            ]
            for name, rows in record.rows.items() if rows
        },
        "photos": [
            {"id": each.id, "caption": each.caption, "width": each.width, "height": each.height}
            for each in record.photos
        ],
    }


def from_data(data: Any) -> Record:
    """JSON data as a record: brought to the version of today, then checked in full. Raises `RecordError`."""
    if not isinstance(data, dict):
        raise RecordError("", "this is not a record; a record is a JSON object")
    if data.get("format") != FORMAT:
        raise RecordError("/format", f"this is not a record of this guide; it must say “{FORMAT}”")
    for step in range(version_of(data, VERSION), VERSION):
        data = MIGRATIONS[step](data)
    return _checked(data)


def version_of(data: Mapping[str, Any], newest: int) -> int:
    """The version that a file of the guide says it has. Raises `RecordError` for one that no guide wrote up to now.

    >>> version_of({"version": 1}, 2)
    1
    """
    version = data.get("version")
    if type(version) is not int or version < 1:
        raise RecordError("/version", f"write a whole number from 1 to {newest}")
    if version > newest:
        raise RecordError(
            "/version", f"written by a later guide (version {version}); this one reads up to version {newest}",
        )
    return version


def _from_1(data: dict[str, Any]) -> dict[str, Any]:
    """Version 1 had test days only, wrote each list as lines of text with cells apart by a bar, and kept no
    photographs.
    """
    moved = {"kind": "test-day", "archived": False, "invented": False, "rows": {}, "photos": [], **data, "version": 2}
    if "units" in moved:
        moved["bare_numbers"] = moved.pop("units")
    lists = {each.name: each for each in form_of("test-day").fields if isinstance(each, Rows)}
    values, rows = moved.get("values"), moved["rows"]
    if isinstance(values, dict) and isinstance(rows, dict):
        rows = dict(rows)
        for name in lists.keys() & values.keys():
            if isinstance(values[name], str):
                rows[name] = [
                    {
                        column.name: cell.strip() for column, cell in zip(lists[name].columns, line.split("|"))
                        if cell.strip()
                    }
                    for line in values[name].split("\n") if line.strip(" |")
                ]
        moved["values"] = {name: text for name, text in values.items() if name not in rows}
        moved["rows"] = rows
    return moved


MIGRATIONS: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {1: _from_1}
"""From each older version to the next."""


# --- the check -------------------------------------------------------------------


def pointer(*parts: str | int) -> str:
    """A JSON Pointer from its parts.

    >>> pointer("rows", "a/b", 0)
    '/rows/a~1b/0'
    """
    return "".join("/" + str(part)[:60].replace("~", "~0").replace("/", "~1") for part in parts)


def _text(value: Any, longest: int, *place: str | int) -> str:
    if not isinstance(value, str):
        raise RecordError(pointer(*place), "write a text between quotation marks")
    if len(value) > longest:
        raise RecordError(pointer(*place), f"{len(value)} characters; at most {longest}")
    if FORBIDDEN.search(value):
        raise RecordError(pointer(*place), "holds a control character, which no note needs")
    return value


def _matching(value: Any, pattern: re.Pattern[str], what: str, *place: str | int) -> str:
    text = _text(value, LONGEST, *place)
    if not pattern.fullmatch(text):
        raise RecordError(pointer(*place), f"is not {what}")
    return text


def _flag(value: Any, *place: str | int) -> bool:
    if not isinstance(value, bool):
        raise RecordError(pointer(*place), "write true or false")
    return value


def _object(value: Any, known: Mapping[str, Any] | set[str], *place: str | int) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise RecordError(pointer(*place), "write an object between braces")
    for name in value:
        if name not in known:
            raise RecordError(pointer(*place, name), "there is no such part in a record")
    return value


def _list(value: Any, most: int, *place: str | int) -> list[Any]:
    if not isinstance(value, list):
        raise RecordError(pointer(*place), "write a list between square brackets")
    if len(value) > most:
        raise RecordError(pointer(*place), f"{len(value)} entries; at most {most}")
    return value


_PARTS = (
    "format", "version", "id", "kind", "name", "created", "changed", "bare_numbers", "archived", "invented", "values",
    "rows", "photos",
)


def _checked(data: dict[str, Any]) -> Record:
    _object(data, set(_PARTS))
    for name in _PARTS:
        if name not in data:
            raise RecordError(pointer(name), "this part is missing")
    kinds = [form.kind for form in FORMS]
    if data["kind"] not in kinds:
        raise RecordError("/kind", f"write {' or '.join(kinds)}")
    if data["bare_numbers"] not in SYSTEMS:
        raise RecordError("/bare_numbers", "write us or si")
    form = form_of(data["kind"])
    return Record(
        _matching(data["id"], ID, "an id: 8 to 40 small letters, digits and hyphens", "id"), data["kind"],
        _text(data["name"], LONGEST, "name"),
        _matching(data["created"], MOMENT, "a moment, as in 2026-03-02T07:30:00Z", "created"),
        _matching(data["changed"], MOMENT, "a moment, as in 2026-03-02T07:30:00Z", "changed"), data["bare_numbers"],
        _flag(data["archived"], "archived"), _flag(data["invented"], "invented"), _values(data["values"], form),
        _rows(data["rows"], form), _photos(data["photos"]),
    )


def _values(value: Any, form: Form) -> dict[str, str]:
    known = {each.name for each in form.fields if not isinstance(each, Rows)}
    texts = _object(value, known, "values")
    checked = {name: _text(text, LONGEST, "values", name) for name, text in texts.items()}
    return {each.name: checked[each.name] for each in form.fields if checked.get(each.name)}


def _rows(value: Any, form: Form) -> dict[str, tuple[Row, ...]]:
    lists = {each.name: each for each in form.fields if isinstance(each, Rows)}
    given = _object(value, lists, "rows")
    read = {
        name: tuple(
            _row(row, lists[name], name, number)
            for number, row in enumerate(_list(rows, lists[name].most, "rows", name))
        )
        for name, rows in given.items()
    }
    return {name: read[name] for name in lists if read.get(name)}


def _row(value: Any, each: Rows, name: str, number: int) -> Row:
    cells = _object(value, {column.name for column in each.columns}, "rows", name, number)
    return tuple(
        _text(cells.get(column.name, ""), LONGEST, "rows", name, number, column.name) for column in each.columns
    )


def _photos(value: Any) -> tuple[Photo, ...]:
    photos = tuple(_photo(each, number) for number, each in enumerate(_list(value, MOST_PHOTOS, "photos")))
    for number, each in enumerate(photos):
        if each.id in [other.id for other in photos[:number]]:
            raise RecordError(pointer("photos", number, "id"), "two photographs have this id")
    return photos


def _photo(value: Any, number: int) -> Photo:
    parts = _object(value, {"id", "caption", "width", "height"}, "photos", number)
    for name in ("id", "caption", "width", "height"):
        if name not in parts:
            raise RecordError(pointer("photos", number, name), "this part is missing")
    for name in ("width", "height"):
        if type(parts[name]) is not int or not 1 <= parts[name] <= 10_000:
            raise RecordError(pointer("photos", number, name), "write a whole number from 1 to 10000")
    return Photo(
        _matching(parts["id"], ID, "an id: 8 to 40 small letters, digits and hyphens", "photos", number, "id"),
        _text(parts["caption"], LONGEST, "photos", number, "caption"), parts["width"], parts["height"],
    )


# --- the schema --------------------------------------------------------------------


def _text_schema(each: Input | Cell) -> dict[str, Any]:
    what = f"{each.label}. {each.help}"
    if isinstance(each, Choice):
        what += f" Judged where it is one of: {', '.join(option.value for option in each.options)}."
    return {"description": what, "$ref": "#/$defs/text"}


def _part(properties: dict[str, Any], required: tuple[str, ...] = ()) -> dict[str, Any]:
    made = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**made, "required": list(required)} if required else made


def _form_schema(form: Form) -> dict[str, Any]:
    rows = {
        each.name: {
            "description": each.label, "type": "array", "maxItems": each.most,
            "items": _part({column.name: _text_schema(column) for column in each.columns}),
        }
        for each in form.fields if isinstance(each, Rows)
    }
    values = {each.name: _text_schema(each) for each in form.fields if not isinstance(each, Rows)}
    return {
        "title": form.title, "properties": {"kind": {"const": form.kind}, "values": _part(values), "rows": _part(rows)},
    }


def schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the version of today."""
    identifier = {"type": "string", "pattern": f"^(?:{ID.pattern}){_END}"}
    moment = {"type": "string", "pattern": f"^(?:{MOMENT.pattern}){_END}"}
    size = {"type": "integer", "minimum": 1, "maximum": 10_000}
    photo = _part(
        {"id": identifier, "caption": {"$ref": "#/$defs/text"}, "width": size, "height": size},
        ("id", "caption", "width", "height"),
    )
    parts = {
        "format": {"const": FORMAT}, "version": {"const": VERSION}, "id": identifier,
        "kind": {"enum": [form.kind for form in FORMS]}, "name": {"$ref": "#/$defs/text"}, "created": moment,
        "changed": moment,
        "bare_numbers": {"enum": list(SYSTEMS), "description": "The system in which a number without a unit is read."},
        "archived": {"type": "boolean"},
        "invented": {"type": "boolean", "description": "True for a demonstration: nobody welded this."},
        "values": {"type": "object"}, "rows": {"type": "object"},
        "photos": {"type": "array", "maxItems": MOST_PHOTOS, "items": photo},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema", "$id": SCHEMA_ID,
        "title": "Test-day record and continuity log",
        "description": (
            "What was done and measured on the day of a plate test, or the uses of a process since. Study help: the "
            "verdict belongs to the qualified inspector under the code in force. Texts stand as written; blank fields "
            "are left out. The ids of photographs are unlike each other."
        ),
        **_part(parts, _PARTS), "oneOf": [_form_schema(form) for form in FORMS],
        "$defs": {"text": {"type": "string", "maxLength": LONGEST, "not": {"pattern": _NOT_PLAIN}}},
    }
