"""A measured size is judged as its own stage judges it, at both ends of the band, and handed on so that it says the
same.
"""

from __future__ import annotations

import json
from fractions import Fraction

import pytest

from calc import web
from calc.core.declare import Level
from calc.core.units import LENGTH, parse
from calc.photo.photo_measure import PHOTO_MEASURE
from calc.record.demo import PLATE
from calc.record.shape import MOST_PHOTOS, as_data
from calc.stages.fitup import FIT_UP
from calc.stages.judging import BEND_JUDGE

JOINT = {
    "purpose": "fit-up", "what": "gap", "reference": "ends", "ref_error": "0.005 in", "relief": "0 in", "blur": "0",
}
STEP = JOINT | {"purpose": "misalignment"}
PHOTO = {"id": "p0123456789", "width": 1600, "height": 1200}


def crack(pixels: float, **more: str):
    return PHOTO_MEASURE.answer({"marks": f"700 | 640; {700 + pixels} | 640", **more})


def lines(pixels: float) -> str:
    return f"750 | 650; 850 | 650; 750 | {650 + pixels}; 850 | {650 + pixels}"


def asked(do: str, **request) -> dict:
    return json.loads(web.respond(json.dumps({"do": do, "system": "us", **request})))


@pytest.mark.parametrize("rule, figures, limit", [
    ("aws", "inch", "1/8 in"), ("aws", "metric", "3 mm"), ("dc", "metric", "3.2 mm"), ("iso", "metric", "3 mm"),
])
def test_an_open_discontinuity_is_told_as_judging_tells_it(rule, figures, limit):
    """The limit typed here from the rules' own pages. Its band decides: under it, around it, over it."""
    at, seen = parse(limit, LENGTH), set()
    for pixels in range(20, 110, 2):
        told = crack(pixels, rule=rule, figures=figures)
        low, high = (Fraction(told[end].amount) for end in ("low", "high"))
        level = told.check("size").level
        seen.add(level)
        # By ISO 9606-1 a size at the limit fails too.
        if (low >= at if rule == "iso" else low > at):
            assert level is Level.STOP
        elif (high < at if rule == "iso" else high <= at):
            assert level is Level.OK
        else:
            assert level is Level.NOT_KNOWN
            assert "handed_on" not in {each.name for each in told.values}
            continue
        handed = asked("photo-hand-on", inputs=told.inputs)["changed"]["openings"]
        there = BEND_JUDGE.answer(openings=handed, rule=rule, figures=figures, looked="yes").check("opening-1")
        assert there.level is level
    assert seen == {Level.OK, Level.NOT_KNOWN, Level.STOP}


def test_a_root_opening_has_a_limit_on_both_sides():
    """As detailed, 1/4 in + 1/16 in - 0 in. 400 pixels an inch."""
    words = {}
    for pixels in range(80, 150, 2):
        told = PHOTO_MEASURE.answer(JOINT | {"off_square": "2 deg", "marks": lines(pixels)})
        low, high = (Fraction(told[end].amount) for end in ("low", "high"))
        level = told.check("size").level
        outside = high < parse("1/4 in", LENGTH) or low > parse("5/16 in", LENGTH)
        inside = low >= parse("1/4 in", LENGTH) and high <= parse("5/16 in", LENGTH)
        assert level is (Level.STOP if outside else Level.OK if inside else Level.NOT_KNOWN), pixels
        words[level] = pixels
        if level is not Level.NOT_KNOWN:
            handed = asked("photo-hand-on", inputs=told.inputs)["changed"]["openings"]
            judged = FIT_UP.answer(openings=handed)
            assert ("Readings outside" in judged["verdict"].wording) == outside
    assert set(words) == {Level.OK, Level.NOT_KNOWN, Level.STOP}


def test_a_band_over_the_whole_tolerance_is_no_verdict():
    """Too tight at its low end and too wide at its high end: both stop, and yet the photo says nothing."""
    told = PHOTO_MEASURE.answer(JOINT | {"mark_error": "40", "marks": lines(112)})
    assert told["low"].amount < parse("1/4 in", LENGTH) and told["high"].amount > parse("5/16 in", LENGTH)
    assert told.check("size").level is Level.NOT_KNOWN


def test_a_misalignment_goes_by_the_code_or_by_the_own_limit():
    """10 % of 1 in and at most 1/8 in: 0.1 in. 32 pixels are 0.08 in, 60 are 0.15 in."""
    thick = STEP | {"thickness": "1 in"}
    assert PHOTO_MEASURE.answer(thick | {"marks": lines(32)}).check("size").level is Level.OK
    assert PHOTO_MEASURE.answer(thick | {"marks": lines(60)}).check("size").level is Level.STOP
    own = PHOTO_MEASURE.answer(thick | {"marks": lines(60), "mismatch_limit": "1/4 in"})
    assert own.check("size").level is Level.OK
    told = asked("photo-hand-on", inputs=own.inputs, kept={"openings": "0 in | 1/4 in"})
    assert (told["page"], told["place"], told["input"]) == ("fit-up.html", "fit-up", "mismatch")
    assert told["changed"] == {"openings": "0 in | 1/4 in", "mismatch": "0.15 in"}


# --- handing on ---------------------------------------------------------------------------------


def test_what_the_other_form_keeps_means_the_same_afterwards():
    """A bare number typed in millimeters gets its unit before an inch stands beside it."""
    kept = {"openings": "1 | 2 | face | no", "wall": "10"}
    told = asked("photo-hand-on", inputs={}, kept=kept, kept_system="si")
    assert told["changed"]["openings"].split("\n") == ["1 | 2 mm | face | no", "1 | 0.073 in | face | no"]
    assert told["changed"]["wall"] == "10 mm"
    in_si = asked("photo-hand-on", inputs={}, system="si")
    assert parse(in_si["size"], LENGTH) == parse("0.073 in", LENGTH)


@pytest.mark.parametrize("request_of, words", [
    ({"inputs": {"purpose": "alone"}}, "choose what it is for first"),
    ({"inputs": {"marks": "800 | 640; 850 | 640"}}, "Measure with a gauge"),
    ({"inputs": {"marks": "800 | 640; 825 | 640; 850 | 640"}}, "this takes 2"),
    ({"inputs": {"reference": "ends"}}, "Measure with a gauge"),
    ({"inputs": {}, "kept": {"openings": "\n".join(["1 | 1/16 in | face | no"] * 20)}}, "21 rows"),
    ({"inputs": {"coupon": "7"}}, "there is no specimen 7"),
])
def test_what_cannot_go_on_is_told_in_words(request_of, words):
    told = asked("photo-hand-on", **request_of)
    assert set(told) == {"refused"} and told["refused"].startswith("Nothing was handed on: ")
    assert words in told["refused"]


def test_two_readings_at_one_place_are_refused():
    inputs = JOINT | {"off_square": "2 deg", "marks": lines(112), "along": "3 in"}
    told = asked("photo-hand-on", inputs=inputs, kept={"openings": "3 in | 1/4 in"})
    assert "already a reading at 3 in" in told["refused"]


# --- a record -------------------------------------------------------------------------------------


def test_a_record_takes_size_and_picture_and_nothing_else_changes():
    before = as_data(PLATE)
    told = asked("photo-into-record", inputs={}, record=before, photo=PHOTO)["record"]
    *old, new = told["rows"]["findings"]
    assert old == before["rows"].get("findings", [])
    assert new == {"coupon": "1", "size": "0.073 in", "place": "face", "flaw": "no"}
    *photos, photo = told["photos"]
    assert photos == before["photos"] and photo["id"] == PHOTO["id"]
    assert photo["caption"].startswith("Measured on a photo: 0.0626 in")
    rest = {key: value for key, value in told.items() if key not in ("rows", "photos")}
    assert rest == {key: value for key, value in before.items() if key not in ("rows", "photos")}


def test_a_picture_without_a_purpose_goes_in_alone():
    before = as_data(PLATE)
    told = asked("photo-into-record", inputs={"purpose": "alone"}, record=before, photo=PHOTO)["record"]
    assert told["rows"] == before["rows"] and len(told["photos"]) == len(before["photos"]) + 1


def test_a_reading_and_a_misalignment_find_their_fields():
    bare = as_data(PLATE)
    bare["values"].pop("mismatch", None)
    opening = JOINT | {"off_square": "2 deg", "marks": lines(112), "along": "5"}
    told = asked("photo-into-record", inputs=opening, record=bare, photo=PHOTO)["record"]
    assert told["rows"]["readings"][-1] == {"place": "5 in", "opening": "0.28 in"}
    told = asked("photo-into-record", inputs=STEP | {"marks": lines(60)}, record=bare, photo=PHOTO)["record"]
    assert told["values"]["mismatch"] == "0.15 in"
    again = asked("photo-into-record", inputs=STEP | {"marks": lines(60)}, record=told, photo=PHOTO)
    assert "has a misalignment already" in again["refused"]


def test_a_record_that_can_hold_no_more_says_so():
    full = as_data(PLATE)
    full["photos"] = [{**PHOTO, "id": f"p{number:010d}", "caption": ""} for number in range(MOST_PHOTOS)]
    assert "photographs already" in asked("photo-into-record", inputs={}, record=full, photo=PHOTO)["refused"]
    listed = as_data(PLATE)
    listed["rows"]["findings"] = [{"coupon": "1", "size": "1/16 in", "place": "face", "flaw": "no"}] * 20
    assert "list is full" in asked("photo-into-record", inputs={}, record=listed, photo=PHOTO)["refused"]
    assert "refused" in asked("photo-into-record", inputs={}, record={}, photo=PHOTO)
    nothing = {"marks": "800 | 640; 800 | 640"}
    told = asked("photo-into-record", inputs=nothing, record=as_data(PLATE), photo=PHOTO)
    assert "measures nothing" in told["refused"]


# --- marks ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("what, own", [("length", 2), ("gap", 4), ("angle", 3)])
@pytest.mark.parametrize("reference, known", [("bend", 2), ("ends", 2), ("corners", 4)])
def test_new_marks_lie_in_the_picture_and_can_be_measured(what, own, reference, known):
    inputs = {"purpose": "alone", "what": what, "reference": reference}
    told = asked("photo-marks", inputs=inputs, fresh=True, width=900, height=1600)
    assert (len(told["names"]["marks"]), len(told["names"]["reference_marks"])) == (own, known)
    assert PHOTO_MEASURE.answer(inputs | told["inputs"]).level is Level.INCOMPLETE
    answer = PHOTO_MEASURE.answer(inputs | told["inputs"] | {"placed": "yes"})
    assert not {"outside", "marks", "corners"} & {check.id for check in answer.checks}


def test_marks_that_fit_stay():
    told = asked("photo-marks", inputs={"what": "gap", "reference_marks": "1 | 2\n3 | 4"}, width=1000, height=500)
    assert "reference_marks" not in told["inputs"] and told["inputs"]["placed"] == "no"
    assert len(told["inputs"]["marks"].split("\n")) == 4
    same = asked("photo-marks", inputs={}, width=1600, height=1200)
    assert set(same["inputs"]) == {"picture_width", "picture_height"}
    assert "plunger_diameter" in told["used"] and "required" not in told["used"]
    odd = asked("photo-marks", inputs={"what": "no such thing", "picture_width": "wide"})
    assert odd["names"]["marks"] == asked("photo-marks", inputs={})["names"]["marks"]
