"""What the record says where something is missing, refused or odd: each is told where it stands, and no verdict is
made up.
"""

from __future__ import annotations

import base64
import datetime
import json
from dataclasses import replace

import pytest

from calc.record.demo import LOG, PLATE
from calc.record.fields import FORMS, TEST_DAY, form_of
from calc.record.form import form_html, readings_html, said_html, summary, templates_html, verdict_html
from calc.core.declare import Level
from calc.record.judge import judge
from calc.record.shape import RecordError, as_data, from_data
from calc.record.sheet import layout_drawing, sheet_html
from calc.show.drawing import Polygon
from calc.web import respond

TODAY = datetime.date(2026, 3, 31)
COUPONS = (("face", "3/8 in", "1-1/2 in", "yes", ""), ("root", "3/8 in", "1-1/2 in", "yes", ""))


def day(rows=None, **values):
    """The demonstration without its openings, with other values; a blank one is taken out."""
    kept = {key: text for key, text in {**PLATE.values, **values}.items() if text}
    return replace(PLATE, values=kept, rows={**PLATE.rows, "findings": (), **(rows or {})})


def words(judgement, place):
    """All that is said at a place, in US units."""
    return " ".join(
        part if isinstance(part, str) else part.text("us") for flag in judgement.at(place) for part in flag.phrase
    )


# --- figures that a calculator refuses, or that lack what they are judged by -------------------------


def test_a_plate_that_the_table_has_no_row_for_is_told_at_its_thickness():
    """The table as held begins at 3/8 in."""
    judgement = judge(day(thickness="1/4 in"))
    assert judgement.at("thickness")[0].level is Level.NOT_KNOWN
    assert "not known: ask which test applies" in words(judgement, "thickness")


def test_a_refused_figure_is_told_once_and_the_rest_is_judged():
    """The rule on plate has no row under 1/8 in; the current is judged all the same."""
    judgement = judge(day(thickness="1/16 in"))
    assert judgement.at("thickness")
    assert judgement.at("amps")[0].level is Level.OK
    assert len({(flag.place, flag.phrase) for flag in judgement.flags}) == len(judgement.flags)


@pytest.mark.parametrize(
    ("required", "angle", "opening"),
    # D1.1 Fig. 5.1: 1/4 in goes with 45°, 3/8 in with 30°. A bevel of 15° makes 30°.
    [("3/8 in", Level.CAUTION, Level.OK), ("1/4 in", Level.STOP, Level.OK)],
)
def test_angle_and_opening_are_judged_as_a_pair(required, angle, opening):
    judgement = judge(day(bevel_angle="15 deg", required=required))
    for place, level in (("bevel_angle", angle), ("required", opening)):
        assert [flag.level for flag in judgement.at(place)] == [level]


@pytest.mark.parametrize(
    ("field", "other", "id"), [("bevel_angle", "required", "opening"), ("required", "bevel_angle", "included-angle")],
)
def test_of_a_pair_the_one_that_can_be_used_is_judged(field, other, id):
    judgement = judge(day(**{field: "none"}))
    assert judgement.at(field)[0].level is Level.INCOMPLETE
    assert id in [flag.id for flag in judgement.at(other)]


@pytest.mark.parametrize("rows, judged", [
    ((("0 in", ""), ("7 in", "1/4 in")), {"readings/2/opening"}),
    ((("", "1/4 in"), ("7 in", "1/4 in")), {"readings/1/opening", "readings/2/opening"}),
    ((("", "1/4 in"),), {"readings/1/opening"}),
])
def test_readings_without_a_place_or_an_opening(rows, judged):
    """Whether the opening runs wider from end to end can only be told from two readings with their places."""
    judgement = judge(day({"readings": rows}))
    told = [flag for flag in judgement.flags if flag.place.startswith("readings/")]
    assert {flag.place for flag in told if flag.id != "blank"} == judged
    assert any(flag.id == "blank" for flag in told)
    assert judgement.line("test").level is Level.INCOMPLETE


def test_a_rod_is_not_judged_by_a_position_that_nobody_wrote():
    without = judge(day(position="", diameter="3/16 in", amps="220 A"))
    assert not without.at("diameter")
    assert judge(day(position="4G", diameter="3/16 in", amps="220 A")).at("diameter")


def test_plate_temperature_counts_without_the_air():
    judgement = judge(day(air="", plate_temperature="20 degF"))
    assert [flag.id for flag in judgement.at("air")] == ["blank"]
    assert judgement.at("plate_temperature")[0].level is Level.STOP


def test_what_is_said_of_the_thickness_is_said_once_for_all_passes():
    """Between 3/4 in and 20 mm the inch and metric columns of the preheat table part; each pass is held against the
    table.
    """
    judgement = judge(day(thickness="25/32 in"))
    assert len(PLATE.rows["passes"]) > 1
    assert sum(
        "The metric column" in "".join(part for part in flag.phrase if isinstance(part, str))
        for flag in judgement.flags
    ) == 1


def test_passes_without_a_temperature_are_not_judged_for_it():
    judgement = judge(day({"passes": (("root", "2", "", "125 A"), ("cap", "2", "340 degF", ""))}, plate_temperature=""))
    assert [
        flag.id for place in ("passes/1/temperature", "plate_temperature") for flag in judgement.at(place)
    ] == ["blank", "blank"]
    assert judgement.at("passes/2/temperature")[0].level is Level.OK
    assert judgement.at("passes/1/amps")[0].level is Level.OK


def test_rods_are_counted_only_where_the_groove_can_be():
    """A root face thicker than the plate leaves no groove; the count of rods then has nothing to stand beside."""
    assert "Rods used: 9" in words(judge(day()), "passes")
    judgement = judge(day(root_face="1/2 in"))
    assert "Rods used" not in words(judgement, "passes")


def test_the_root_is_not_judged_before_it_is_known_whether_there_is_a_backing():
    judgement = judge(day(root="", root_flaw="yes"))
    assert not judgement.at("root_flaw")
    assert judgement.line("visual").level is Level.INCOMPLETE
    assert "root" in judgement.line("visual").wording


def test_an_open_root_is_asked_for_its_own_points():
    wording = judge(day(root="open")).line("visual").wording
    assert "root concavity" in wording and "melt-through" in wording
    assert "hollow" not in judge(day(cracks="")).line("visual").wording


def test_mismatch_after_welding_is_missed_by_name_where_it_is_blank():
    line = judge(day(mismatch_after="")).line("visual")
    assert line.level is Level.INCOMPLETE and "misalignment after welding" in line.wording


def test_without_a_thickness_the_look_is_open():
    assert judge(day(thickness="")).line("visual").level is Level.INCOMPLETE


def test_a_point_that_the_rule_is_silent_about_asks_the_inspector():
    looked = judge(day(underfill="1/64 in")).line("visual")
    assert looked.level in (Level.INCOMPLETE, Level.STOP)
    looked = judge(day(porosity="yes")).line("visual")
    assert looked.level is Level.CAUTION and "ask the inspector about: " in looked.wording


def test_a_thickness_that_the_visual_rule_has_no_row_for_leaves_the_look_open():
    judgement = judge(day(thickness="4 in"))
    assert judgement.line("visual").level is Level.INCOMPLETE
    assert judgement.at("thickness")


# --- coupons and bends ------------------------------------------------------------------------------


def test_a_coupon_thickness_waits_for_the_plunger():
    judgement = judge(day(plunger_diameter=""))
    assert "Write the plunger diameter" in words(judgement, "coupons/1/thickness")
    assert judgement.at("coupons/1/thickness")[0].level is Level.INCOMPLETE


def test_two_side_coupons_are_allowed_from_three_eighths_where_the_rule_says_so():
    """ASME IX QW-452.1(a) and D1.1:2010 Table 4.11, notes: side bends may take the place of face and root bends at
    3/8 in.
    """
    sides = {"coupons": tuple(("side", "3/8 in", "", "yes", "") for _ in range(2))}
    for rule in ("asme", "aws"):
        assert judge(day(sides, bend_rule=rule)).at("coupons")[0].level is Level.OK


def test_a_rule_without_a_layout_says_nothing_of_kinds():
    judgement = judge(day(bend_rule="iso", figures="millimeter", thickness="10 mm"))
    assert not any("The rule asks for" in words(judgement, place) for place in ("coupons",))


def test_no_coupons_are_laid_out_as_the_rule_says():
    judgement = judge(day({"coupons": ()}))
    assert judgement.layout is not None
    assert judge(day({"coupons": ()}, bend_rule="iso")).layout is None
    assert judge(day(plate_length="")).layout is None


def test_a_plate_too_short_for_its_coupons_is_told_at_its_length():
    judgement = judge(day(plate_length="4 in"))
    assert any(flag.level is Level.STOP for flag in judgement.at("plate_length"))


def test_a_plate_too_narrow_is_told_only_where_a_width_is_written():
    narrow = judge(day(plate_width="4 in", coupon_length="6 in"))
    assert any(flag.level is Level.STOP for flag in (*narrow.at("plate_width"), *narrow.at("coupon_length")))
    unwritten = judge(day(plate_width="", coupon_length="", discard=""))
    assert not any(
        flag.level is Level.STOP for place in ("plate_width", "coupon_length") for flag in unwritten.at(place)
    )
    # A coupon longer than the width that the layout takes for granted says nothing of a plate that nobody measured.
    longer = judge(day(plate_width="", coupon_length="12 in"))
    assert not any(flag.id == "plate-width" for flag in longer.flags)
    assert any(
        "across" in words(judge(day(plate_width="8 in", coupon_length="12 in")), place) for place in ("plate_width",)
    )


def test_without_a_rule_or_its_figures_nothing_is_judged():
    assert judge(day(bend_rule="")).line("bends").wording == "not judged: no rule chosen"
    assert judge(day(figures="")).line("bends").wording == "not judged: choose inch or millimeter figures"
    assert judge(day(visual_rule="")).line("visual").wording == "not judged: no rule chosen"


def test_an_opening_on_a_coupon_that_was_not_bent_is_told():
    rows = {
        "coupons": (COUPONS[0], ("root", "3/8 in", "1-1/2 in", "no", "")),
        "findings": (("2", "1/16 in", "face", "no", ""),),
    }
    judgement = judge(day(rows))
    assert "Specimen 2 is not noted as bent" in words(judgement, "findings/1/coupon")
    assert judgement.line("bends").level is Level.INCOMPLETE


def test_no_bent_coupon_is_no_verdict():
    judgement = judge(day({"coupons": tuple((*coupon[:3], "no", "") for coupon in COUPONS)}))
    assert judgement.line("bends").wording == "not complete: no specimen has been bent and judged"


def test_a_rule_by_the_wall_waits_for_the_thickness():
    """API 1104: an opening may be 1/8 in or half the wall, whichever is less; without the wall no coupon has a
    verdict.
    """
    rows = {"coupons": COUPONS, "findings": (("1", "1/16 in", "face", "no", ""),)}
    judgement = judge(day(rows, bend_rule="api", thickness=""))
    assert judgement.line("coupon-1").level is Level.INCOMPLETE
    assert "Write the plate thickness" in words(judgement, "bend_rule")


def test_too_few_coupons_leave_the_bend_test_open():
    judgement = judge(day({"coupons": COUPONS[:1]}))
    assert judgement.line("coupon-1").level is Level.OK
    assert judgement.line("bends").wording == "not complete: this rule goes by 2 specimens"


def test_a_thickness_beyond_the_walls_of_the_judging_form_still_judges_by_the_size():
    rows = {"coupons": COUPONS, "findings": (("1", "3/16 in", "face", "no", ""),)}
    assert judge(day(rows, thickness="4 in")).line("coupon-1").level is Level.STOP
    by_wall = judge(day(rows, thickness="4 in", bend_rule="api"))
    assert by_wall.line("coupon-1").level is Level.INCOMPLETE and "outside the range" in words(by_wall, "thickness")


def test_corner_cracks_without_a_flaw_wait_for_a_replacement_or_the_inspector():
    rows = {"findings": (("1", "3/16 in", "corner", "no", ""),)}
    judgement = judge(day(rows))
    assert judgement.line("test").level is not Level.STOP


# --- the log ---------------------------------------------------------------------------------------


def log(**values):
    return replace(LOG, values={**LOG.values, **values})


def test_a_log_waits_for_today_the_rule_and_the_date():
    assert "the date of today" in judge(LOG).line("continuity").wording
    assert "the rule and the date" in judge(log(continuity_rule=""), TODAY).line("continuity").wording


def test_a_clock_before_the_test_is_named_as_a_clock():
    judgement = judge(LOG, datetime.date(2020, 1, 1))
    assert "The clock of this device says" in words(judgement, "qualified_on")


def test_a_use_before_the_test_is_told_as_a_date_and_not_as_a_clock():
    judgement = judge(replace(LOG, rows={"uses": (("2024-01-01", "used", ""),)}), TODAY)
    assert judgement.line("continuity").level is Level.STOP
    told = words(judgement, "uses/1/used_on")
    assert "does not count" in told and "clock" not in told


def test_a_use_after_today_is_told_as_a_date_or_a_clock():
    judgement = judge(replace(LOG, rows={"uses": (("2026-05-01", "used", ""),)}), TODAY)
    assert judgement.line("continuity").level is Level.STOP
    assert words(judgement, "uses/1/used_on").startswith("This day has not come: today is 2026-03-31.")
    assert words(judgement, "uses/1/used_on").endswith(
        "If the date is right, the clock of this device is wrong: set it."
    )


def test_a_use_without_its_date_does_not_count():
    judgement = judge(replace(LOG, rows={"uses": (("", "used", "Gate, job 3"), ("", "used", ""))}), TODAY)
    assert "until then this use does not count" in words(judgement, "uses/1/used_on")
    assert not judgement.at("uses/2/used_on")


# --- the record as the page sees it ---------------------------------------------------------------------


def coded(text: str) -> str:
    """A file as the page hands it over."""
    return base64.b64encode(text.encode()).decode()


def asked(do, **request):
    return json.loads(respond(json.dumps({"do": do, **request})))


def test_the_page_reads_judges_writes_and_prints_a_record():
    plain = as_data(PLATE)
    judged = asked("record-judge", record=plain, today="2026-03-31")
    assert judged["headline"] == judge(PLATE, TODAY).headline and judged["due"] == ""
    written = asked("record-write", record=plain)
    assert written["file"] == "fennick-lock-plate-7-demo-plate-0.json"
    read = asked("record-read", data=coded(written["text"]))
    assert read["record"] == plain and read["name"] == PLATE.name
    assert "Fennick Lock" in asked("record-sheet", record=plain)["html"]
    assert asked("record-csv", records=[plain])["file"].endswith(".csv")
    assert asked("record-csv", records=[plain, plain])["file"] == "records.csv"


def test_the_page_hears_why_a_record_is_refused():
    assert asked("record-read", data=coded("{}"))["place"] == "/format"
    assert asked("record-judge", record=[])["refused"].startswith("the whole file")


def test_a_due_date_goes_into_a_calendar_and_lapsed_or_undated_logs_do_not():
    told = asked("record-calendar", record=as_data(LOG), today="2026-03-31", moment="2026-03-31T08:00:00Z")
    # Six months from the last use, 2026-02-27.
    assert "DTSTART;VALUE=DATE:20260827" in told["text"] and told["file"].endswith(".ics")
    assert judge(LOG, TODAY).due == datetime.date(2026, 8, 27)
    assert "there is no date to put into a calendar" in asked(
        "record-calendar", record=as_data(LOG), today="2028-01-01", moment="",
    )["refused"]
    assert "the date of today is missing" in asked(
        "record-calendar", record=as_data(LOG), today="soon", moment="",
    )["refused"]


def test_bare_numbers_keep_their_meaning_when_the_units_switch():
    plain = as_data(replace(PLATE, values={**PLATE.values, "thickness": "0.375"}))
    told = asked("record-bare", record=plain, bare="si")["record"]
    assert told["values"]["thickness"] == "0.375 in" and told["bare_numbers"] == "si"
    assert asked("record-bare", record=plain, bare="ells")["place"] == "/bare_numbers"


def test_the_demonstrations_take_ids_of_the_page():
    records = asked("record-demo", ids=["first-0001", "second-0001"])["records"]
    assert [each["id"] for each in records] == ["first-0001", "second-0001"] and all(
        each["invented"] for each in records
    )


def test_the_csv_says_what_cannot_be_read_in_the_place_of_both_systems():
    odd = replace(PLATE, values={**PLATE.values, "thickness": "thick", "position": "upside down"})
    text = asked("record-csv", records=[as_data(odd)])["text"]
    assert '"Plate thickness","thick","","","incomplete"' in text
    assert '"upside down","",""' in text


def test_the_blank_forms_ask_for_every_field_once():
    page = templates_html(FORMS)
    for form in FORMS:
        assert all(f'data-field="{each.name}"' in page for each in form.fields)
        assert form_html(form) in page
    with pytest.raises(KeyError):
        TEST_DAY.field("no-such")
    with pytest.raises(KeyError):
        form_of("no-such")


def test_what_is_said_stands_at_its_figure_and_in_the_verdict():
    judgement = judge(PLATE)
    assert "<strong>OK</strong>" in said_html(judgement)["amps"]
    assert readings_html(PLATE)["readings/2/place"].count("3-1/2 in") == 1
    assert "Still blank" not in verdict_html(judgement)
    assert "Still blank: Heat number" in verdict_html(judge(day(heat_number="")))
    assert summary(LOG) == "Trainee 7, Stick (SMAW)"
    assert summary(PLATE).startswith("2026-03-02, Trainee 7")


def test_a_record_on_paper_leaves_out_what_is_blank():
    bare = replace(PLATE, values={"thickness": "9.5 mm"}, rows={})
    page = sheet_html(judge(bare))
    assert "9.5" in page and "Test day" not in page.split("<section>")[0]
    assert "Specimens, in order" not in page
    # No groove can be drawn from an angle that the calculator refuses.
    assert sheet_html(judge(day(bevel_angle="89 deg"))) and sheet_html(judge(day(bevel_angle=""), TODAY))


def test_a_field_of_spaces_counts_as_blank_on_paper_and_on_the_page():
    spaces = replace(PLATE, values={**PLATE.values, "thickness": "  ", "air": " "})
    told = asked("record-sheet", record=as_data(spaces), today="2026-03-31")
    assert "html" in told and "trouble" not in asked("record-judge", record=as_data(spaces), today="2026-03-31")


def test_a_short_plate_on_paper_draws_only_the_coupons_that_lie_on_it():
    """Two coupons and their cuts take more than 4 in: what would stick out over the end is not drawn."""
    def coupons(length: float) -> list[Polygon]:
        shapes = layout_drawing(judge(day(plate_length=f"{length} in"))).shapes
        found = [shape for shape in shapes if isinstance(shape, Polygon) and shape.look == "plate"]
        assert all(0 <= x <= length * 0.0254 for shape in found for x, _ in shape.points)
        return found

    assert len(coupons(8)) == len(PLATE.rows["coupons"]) > len(coupons(4))


# --- the oldest form of the file -----------------------------------------------------------------------------


OLD = {
    "format": "plate-test-record", "version": 1, "id": "old-record-1", "name": "Plate",
    "created": "2026-03-02T07:30:00Z", "changed": "2026-03-02T07:30:00Z", "units": "si",
    "values": {"thickness": "9.5", "passes": "root | 2 | 20\ncap | 2"},
}


def test_version_1_comes_in_with_its_units_and_lists():
    record = from_data(OLD)
    assert (record.bare, record.text("thickness")) == ("si", "9.5")
    assert record.rows["passes"] == (("root", "2", "20", ""), ("cap", "2", "", ""))


@pytest.mark.parametrize("changes, place", [
    ({"values": []}, "/values"),
    ({"values": {"passes": 7}}, "/values/passes"),
    ({"rows": 3, "values": {}}, "/rows"),
    ({"units": None}, "/bare_numbers"),
])
def test_a_damaged_version_1_is_refused_with_its_place(changes, place):
    with pytest.raises(RecordError) as trouble:
        from_data({**OLD, **changes})
    assert trouble.value.place == place
    with pytest.raises(RecordError) as missing:
        from_data({key: value for key, value in OLD.items() if key != "units"})
    assert missing.value.place == "/bare_numbers"


@pytest.mark.parametrize("photos, place", [
    ([{"id": "photo-0001", "caption": "", "width": 1}], "/photos/0/height"),
    ([{"id": "photo-0001", "caption": "", "width": 0, "height": 1}], "/photos/0/width"),
    ([{"id": "photo-0001", "caption": "", "width": 1, "height": 1}] * 2, "/photos/1/id"),
])
def test_photographs_are_checked(photos, place):
    with pytest.raises(RecordError) as trouble:
        from_data({**as_data(PLATE), "photos": photos})
    assert trouble.value.place == place
