"""What the page *Measure on a photo* asks for beside its answer: a size put into another form, or into a record.

Each handler takes the request and returns plain data; `calc/web.py` lists them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

from calc.core.declare import CELLS_APART, ROWS_APART, Calculator, InputError, Quantity, Result, Rows
from calc.core.units import LENGTH, SYSTEMS, System, asked_system
from calc.photo.views import ANGLE_OF, BEND, CORNERS, ENDS, GAP, LENGTH_OF
from calc.photo.photo_measure import MISMATCH, PHOTO_MEASURE
from calc.record.shape import MOST_PHOTOS, RecordError, as_data, from_data
from calc.stages.fitup import FIT_UP
from calc.stages.judging import BEND_JUDGE

Request = dict[str, Any]

NOTHING = "Nothing was handed on: "


class NotHandedOn(ValueError):
    """Why a size goes nowhere, in a sentence."""


def _size(amount: Fraction, system: System) -> str:
    """A size that is a whole count of 0.001 in, in full: as it is typed, and exact.

    >>> _size(Fraction("0.0018542"), "us"), _size(Fraction("0.0018542"), "si")
    ('0.073 in', '1.8542 mm')
    """
    unit = LENGTH.unit(system)
    return f"{float(unit.from_base(amount)):.4f}".rstrip("0").rstrip(".") + f" {unit.symbol}"


def _answer(request: Request) -> tuple[Result, System]:
    chosen = asked_system(request.get("system"))
    texts = {str(name): str(text) for name, text in request["inputs"].items()}
    try:
        return PHOTO_MEASURE.answer(texts, chosen), chosen
    except InputError as trouble:
        raise NotHandedOn(f"{trouble}.") from None


def _handed_on(answer: Result, system: System) -> str:
    """The size that goes on. Raises `NotHandedOn` where the photo gives none."""
    for value in answer.values:
        if value.name == "handed_on":
            return _size(Fraction(value.amount), system)
    if answer.inputs["purpose"] == "alone":
        raise NotHandedOn("choose what it is for first.")
    if answer.inputs["placed"] == "no":
        raise NotHandedOn("drag every mark to its place first.")
    raise NotHandedOn("this photo gives no verdict. Measure with a gauge.")


def _row(answer: Result, size: str, system: System) -> tuple[str, ...]:
    """The row of the list that a size goes into: of open discontinuities, or of readings along the joint."""
    given = answer.inputs
    if given["purpose"] == BEND_JUDGE.id:
        return given["coupon"], size, given["place"], given["flaw"]
    return PHOTO_MEASURE.input("along").with_unit(given["along"], system), size


def _target(answer: Result) -> tuple[Calculator, str]:
    """The calculator, and the input of it, that a size goes to."""
    purpose = answer.inputs["purpose"]
    if purpose == MISMATCH:
        return FIT_UP, "mismatch"
    return (BEND_JUDGE, "openings") if purpose == BEND_JUDGE.id else (FIT_UP, "openings")


def _hand_on(request: Request) -> dict[str, Any]:
    """The size put to what the other form keeps (`kept`, by input). Printed rows are the invented shop's, so a list
    that holds nothing of the reader's starts anew.
    """
    answer, system = _answer(request)
    size = _handed_on(answer, system)
    calc, name = _target(answer)
    typed = request.get("kept_system")
    kept = {
        str(key): _with_units(calc, str(key), str(text), typed if typed in SYSTEMS else system)
        for key, text in request.get("kept", {}).items()
    }
    if name == "openings":
        rows = [*kept.get(name, "").replace(";", ROWS_APART).split(ROWS_APART)]
        rows = [row for row in rows if row.strip()] + [f" {CELLS_APART} ".join(_row(answer, size, system))]
        text = ROWS_APART.join(rows)
    else:
        text = size
    try:
        calc.answer({**kept, name: text})
    except InputError as trouble:
        raise NotHandedOn(f"{trouble}.") from None
    return {
        **_place(calc), "input": name, "size": size,
        # All that was kept there, units written out: a bare number beside the new row would be read in another system.
        "changed": {**kept, name: text},
    }


def _place(calc: Calculator) -> dict[str, str]:
    return {"page": calc.page.removesuffix(".md") + ".html", "place": calc.id, "title": calc.title}


def _with_units(calc: Calculator, name: str, text: str, system: System) -> str:
    each = calc.input(name)
    return each.with_unit(text, system) if isinstance(each, (Quantity, Rows)) else text


def _where(request: Request) -> dict[str, Any]:
    """The page and form that a size goes to, for the page to say what is kept there."""
    answer, system = _answer(request)
    _handed_on(answer, system)
    return _place(_target(answer)[0])


# --- marks ------------------------------------------------------------------------

_STARTS: dict[str, tuple[tuple[float, float], ...]] = {
    CORNERS: ((0.2, 0.2), (0.8, 0.2), (0.8, 0.8), (0.2, 0.8)), ENDS: ((0.2, 0.4), (0.8, 0.4)),
    BEND: ((0.2, 0.4), (0.8, 0.4)), LENGTH_OF: ((0.4, 0.6), (0.6, 0.6)),
    GAP: ((0.35, 0.5), (0.65, 0.5), (0.35, 0.6), (0.65, 0.6)), ANGLE_OF: ((0.35, 0.65), (0.5, 0.45), (0.65, 0.65)),
}
"""Where marks lie before anybody moves them, as shares of the picture."""
_NAMES: dict[str, tuple[tuple[str, str], ...]] = {
    CORNERS: tuple((f"corner {number} of the reference", f"R{number}") for number in (1, 2, 3, 4)),
    ENDS: tuple((f"end {number} of the reference", f"R{number}") for number in (1, 2)),
    BEND: tuple((f"edge {number} of the specimen at its apex", f"R{number}") for number in (1, 2)),
    LENGTH_OF: (("one end", "1"), ("the other end", "2")),
    GAP: (("first line, one mark", "1"), ("first line, other mark", "2"), ("second line, one mark", "3"),
        ("second line, other mark", "4")),
    ANGLE_OF: (("one side", "1"), ("the corner of the angle", "2"), ("the other side", "3")),
}
_GOES = {BEND_JUDGE.id: "Put it into Judging", FIT_UP.id: "Put it into Fit-up", MISMATCH: "Put it into Fit-up"}
_ONLY_FOR: dict[str, tuple[str, ...]] = {
    BEND_JUDGE.id: ("rule", "figures", "coupon", "place", "flaw", "wall"),
    FIT_UP.id: ("required", "tolerance", "over", "under", "along"), MISMATCH: ("thickness", "mismatch_limit"),
    CORNERS: ("ref_width",), ENDS: ("off_square",), BEND: ("off_square", "plunger_diameter", "specimen_thickness"),
}


def _marks(request: Request) -> dict[str, Any]:
    """The marks that these choices need: those of the form where they fit, else where they start; what they are called,
    which inputs count, and where the size may go.
    """
    texts = {**PHOTO_MEASURE.defaults, **{str(name): str(text) for name, text in request["inputs"].items()}}
    chosen = {name: _option(name, texts[name]) for name in ("purpose", "what", "reference")}
    inputs: dict[str, str] = {}
    if "width" in request:
        inputs = {"picture_width": str(int(request["width"])), "picture_height": str(int(request["height"]))}
    try:
        size = tuple(int((inputs or texts)[name]) for name in ("picture_width", "picture_height"))
    except ValueError:
        size = tuple(int(PHOTO_MEASURE.defaults[name]) for name in ("picture_width", "picture_height"))
    for name, key in (("reference_marks", chosen["reference"]), ("marks", chosen["what"])):
        rows = PHOTO_MEASURE.input(name).cells(texts[name])
        if request.get("fresh") or len(rows) != len(_STARTS[key]):
            inputs[name] = ROWS_APART.join(
                f"{round(x * size[0])} {CELLS_APART} {round(y * size[1])}" for x, y in _STARTS[key]
            )
    if {"reference_marks", "marks"} & inputs.keys():
        inputs["placed"] = "no"
    judged = {name for names in _ONLY_FOR.values() for name in names}
    counts = {name for key in (chosen["purpose"], chosen["reference"]) for name in _ONLY_FOR.get(key, ())}
    return {
        "inputs": inputs, "goes": _GOES.get(chosen["purpose"], ""),
        "names": {
            name: [{"name": words, "short": short} for words, short in _NAMES[key]]
            for name, key in (("reference_marks", chosen["reference"]), ("marks", chosen["what"]))
        },
        "used": [each.name for each in PHOTO_MEASURE.inputs if each.name not in judged or each.name in counts],
    }


def _option(name: str, text: str) -> str:
    each = PHOTO_MEASURE.input(name)
    try:
        return each.read(text, "us")
    except InputError:
        return each.default


# --- a record -----------------------------------------------------------------------


def _caption(answer: Result, system: System) -> str:
    """The line under the marked picture in a record."""
    texts = [answer[name].text(system) for name in ("measured", "band")]
    return f"Measured on a photo: {texts[0]}, give or take {texts[1]}".replace("\u00a0", " ")


_FIELDS = {BEND_JUDGE.id: "findings", FIT_UP.id: "readings"}


def _into_record(request: Request) -> dict[str, Any]:
    """A test-day record with the size and the marked picture in it. Nothing that stands in it changes."""
    answer, system = _answer(request)
    record = from_data(request["record"])
    told = {"caption": _caption(answer, system) if "measured" in {each.name for each in answer.values} else ""}
    if not told["caption"]:
        raise NotHandedOn("this photo measures nothing.")
    purpose = answer.inputs["purpose"]
    if purpose in _FIELDS:
        field = next(each for each in record.form.fields if each.name == _FIELDS[purpose])
        rows = record.rows.get(field.name, ())
        if len(rows) >= field.most:
            raise NotHandedOn(f"the record's list is full; it holds {field.most} rows.")
        row = _row(answer, _handed_on(answer, system), system)
        blank = ("",) * (len(field.columns) - len(row))
        record = replace(record, rows={**record.rows, field.name: (*rows, (*row, *blank))})
    elif purpose == MISMATCH:
        if record.text("mismatch"):
            raise NotHandedOn("the record has a misalignment already. Change it there.")
        record = replace(record, values={**record.values, "mismatch": _handed_on(answer, system)})
    if len(record.photos) >= MOST_PHOTOS:
        raise NotHandedOn(f"the record holds {MOST_PHOTOS} photographs already. Remove one first.")
    data = as_data(record)
    data["photos"] = [*data["photos"], {**request["photo"], "caption": told["caption"]}]
    return {"record": as_data(from_data(data))}


def _told(do: Callable[[Request], dict[str, Any]]) -> Callable[[Request], dict[str, Any]]:
    """What goes nowhere is told in words; it is never an exception."""

    def answer(request: Request) -> dict[str, Any]:
        try:
            return do(request)
        except NotHandedOn as why:
            return {"refused": f"{NOTHING}{why}"}
        except RecordError as trouble:
            return {"refused": f"{NOTHING}{trouble}."}

    return answer


DO: dict[str, Callable[[Request], dict[str, Any]]] = {
    "photo-marks": _marks, "photo-target": _told(_where), "photo-hand-on": _told(_hand_on),
    "photo-into-record": _told(_into_record),
}
