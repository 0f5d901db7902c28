"""The mock test day: it can always be drawn, every key comes with its reason and source, and keys are worked out again
from the documents, in plain numbers.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from calc.core.declare import Quantity, Rows, phrase_text
from calc.core.units import TEMPERATURE, parse, show_as_written
from calc.practice import mock_day_sheet as sheet
from calc.practice.looks import seen
from calc.practice.mock_day import Day, draw_day
from calc.practice.mock_day_bench import Decision
from calc.practice.worksheet import NEW_SHEET
from calc.record.demo import PLATE, TEST
from calc.record.files import write_record
from calc.record.shape import as_data
from calc.web import respond
from tools.common import ROOT

SEEDS = 200
INCH = 0.0254


@cache
def days() -> tuple[Day, ...]:
    return tuple(draw_day(str(seed)) for seed in range(SEEDS))


def all_of(name: str) -> list[tuple[Day, Decision]]:
    found = [(day, each) for day in days() for each in day.decisions if each.id == name]
    assert len(found) > SEEDS / 5
    return found


def number(text: str) -> float:
    """A drawn text as a plain number in its own unit: 1-1/4 in is 1.25."""
    found = re.match(r"(?:(\d+)-)?([\d.]+)(?:/(\d+))?", text)
    assert found, text
    return float(found[1] or 0) + float(found[2]) / float(found[3] or 1)


def test_every_day_has_its_decisions_each_with_a_key_a_reason_and_a_source():
    for day in days():
        assert 15 <= len(day.decisions) <= 18, day.seed
        assert len({each.id for each in day.decisions}) == len(day.decisions)
        for each in day.decisions:
            assert each.reasons and all(phrase_text(why, "us").strip() for why in each.reasons), (day.seed, each.id)
            assert each.sources, (day.seed, each.id)
            assert each.value is not None or 0 <= each.right < len(each.options), (day.seed, each.id)
            shown = [phrase_text(option, system) for option in each.options for system in ("us",)]
            assert len(set(shown)) == len(shown), (day.seed, each.id)


def test_what_is_left_out_of_a_drawn_day_is_only_what_the_day_has_no_need_of():
    """Rods that no oven holds, and a machine that needs no pause."""
    assert {each.split(":")[1].strip() for day in days() for each in day.notes} <= {"rods", "duty"}


def test_to_go_on_is_right_as_often_as_to_stop():
    go, asked = Counter(), Counter()
    for day in days():
        for each in day.decisions:
            if each.go is not None:
                asked[each.id] += 1
                go[each.id] += each.go
    assert len(asked) >= 11
    assert 0.45 < sum(go.values()) / sum(asked.values()) < 0.55
    for name, count in asked.items():
        assert 0.4 <= go[name] / count <= 0.6, (name, go[name] / count)


def test_no_two_days_are_the_same_and_a_seed_gives_its_day_again():
    texts = [sheet.day_text(day, True, "us").replace(f"seed {day.seed}", "") for day in days()]
    assert len(set(texts)) == len(texts)
    assert sheet.day_text(draw_day("11"), True, "us") == sheet.day_text(days()[11], True, "us")


def test_objectives_stand_on_the_pages_and_links_lead_to_a_calculator():
    written = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "docs").glob("*.md"))
    for day in days()[:40]:
        for each in day.decisions:
            assert f"[objective: {each.objective}]" in written
            name = each.where.partition("#")[2]
            assert not name or f"[calculator: {name}]" in written


# --- keys worked out again ----------------------------------------------------------------------------


def test_the_wps_is_spoiled_in_half_of_the_days_and_issue_2_asks_nothing():
    for day, each in all_of("wps"):
        changed = dict(day.wps) != dict(day.issue_2)
        assert changed == (not each.go), day.seed
        if changed:
            lines = {label for label, _ in set(day.wps) ^ set(day.issue_2)}
            assert phrase_text(each.options[each.right], "us") in lines, day.seed


def test_fit_up_by_the_tolerance_of_the_wps_and_the_limits_of_d1_1():
    """Root opening by the tolerance in the WPS; misalignment 10 % of the plate, at most 1/8 in (AWS D1.1, 5.21.3); gap at
    the backing at most 1/16 in (AWS D1.1, 5.21.1)."""
    for day, each in all_of("fit-up"):
        test = day.test.values
        low = number(test["root_opening"]) - number(test["opening_under"])
        high = number(test["root_opening"]) + number(test["opening_over"])
        rows = [number(row.split("|")[1].strip()) for row in re.split(r"[;\n]", each.result.inputs["openings"])]
        assert len(rows) == 3
        bad = "root opening" if any(not low <= gap <= high for gap in rows) else ""
        bad = bad or ("misalignment" if number(each.result.inputs["mismatch"]) > min(number(test["thickness"]) / 10, 1 / 8) else "")
        bad = bad or ("gap at the backing" if number(each.result.inputs["backing_gap"]) > 1 / 16 else "")
        right = phrase_text(each.options[each.right], "us")
        assert right == (f"Stop: the {bad}" if bad else "Go on: weld the root pass"), day.seed


@pytest.mark.parametrize("name", ["preheat", "interpass", "interpass-2"])
def test_temperatures_by_the_wps(name: str):
    for day, each in all_of(name):
        test, metal = day.test.values, number(each.result.inputs["metal"])
        cold, hot = metal < number(test["preheat_minimum"]), metal > number(test["interpass_maximum"])
        assert each.right == (1 if cold else 2 if hot else 0), day.seed


def test_rods_by_the_limit_of_the_wps():
    """Reaching the limit is over it: AWS D1.1:2015, 5.3.2.1 speaks of rods exposed for less."""
    for day, each in all_of("rods"):
        minutes = [int(h) * 60 + int(m) for h, m in (each.result.inputs[name].split(":") for name in ("out_at", "now"))]
        hours = (minutes[1] - minutes[0]) / 60
        assert each.go == (hours < number(day.test.values["exposure_most"])), day.seed


def test_exactly_one_setting_lies_in_the_band_of_the_wps():
    for day, each in all_of("amps"):
        low, high = (number(day.test.values[name]) for name in ("amps_low", "amps_high"))
        inside = [low <= number(phrase_text(option, "us")) <= high for option in each.options]
        assert inside == [place == each.right for place in range(4)], day.seed


def test_a_layer_by_the_wps_and_by_table_5_1():
    """AWS D1.1:2020, Table 5.1: a fill pass of a prequalified WPS is at most 3/16 in."""
    for day, each in all_of("layer"):
        most = min(number(day.test.values["layer_most"]), 3 / 16)
        assert each.go == (number(each.result.inputs["layer_thickness"]) <= most), day.seed


def test_heat_input_by_volts_amps_and_speed():
    """H = U·I·60 / (1000·v), in kJ/in with v in in/min (ASME IX, QW-409.1)."""
    for day, each in all_of("heat"):
        test = day.test.values
        volts, amps, speed = (number(each.result.inputs[name]) for name in ("volts", "amps", "speed"))
        inside = volts * amps * 60 / 1000 / speed <= number(test["heat_most"]) + 1e-9
        inside &= number(test["travel_low"]) <= speed <= number(test["travel_high"])
        assert each.go == inside, day.seed


def test_a_pause_by_the_square_law():
    """Ten minutes at the rated share, by the square of rated over set amperage; never over ten."""
    for _, each in all_of("duty"):
        rated, share, amps = (number(each.result.inputs[name]) for name in ("rated_current", "rated_duty", "amps"))
        assert float(each.value.amount) / 60 == pytest.approx(10 * min(1, share / 100 * (rated / amps) ** 2))


def test_specimens_by_the_table_for_d1_1():
    """AWS D1.1:2015, Table 4.11: plate of 3/8 in a face and a root bend, over it two side bends."""
    for day, each in all_of("kinds"):
        thin = number(day.test.values["thickness"]) <= 3 / 8
        assert phrase_text(each.options[each.right], "us") == ("1 face bend and 1 root bend" if thin else "2 side bends")


def test_the_second_specimen_starts_after_discard_cut_specimen_and_cut():
    for _, each in all_of("layout"):
        blank = next(phrase_text(said, "us") for label, said in each.told if label.startswith("Width to saw"))
        told = number(each.result.inputs["discard"]) + 2 * number(each.result.inputs["saw_cut"]) + number(blank)
        assert float(each.value.amount) / INCH == pytest.approx(told, abs=1e-4)


def openings_of(each: Decision) -> list[tuple[int, float, str, str]]:
    rows = each.result.calculator.input("openings").read(each.result.inputs["openings"], "us")
    return [(specimen, float(size) / INCH, place, flaw) for specimen, size, place, flaw in rows]


def fails(rows: list[tuple[int, float, str, str]]) -> bool:
    """AWS D1.1:2015, 4.9.3.3: one over 1/8 in, or those over 1/32 in adding up to more than 3/8 in."""
    sizes = [size for _, size, _, _ in rows]
    return any(size > 1 / 8 + 1e-9 for size in sizes) or sum(size for size in sizes if size > 1 / 32 + 1e-9) > 3 / 8 + 1e-9


def test_an_opening_by_the_clause():
    """AWS D1.1:2015, 4.9.3.3: 1/8 in; a corner crack 1/4 in without, 1/8 in with slag seen in it; a longer corner crack
    without slag asks for a replacement."""
    for day, each in all_of("opening"):
        (_, size, place, flaw), = openings_of(each)
        if place == "corner" and flaw == "no":
            right = 0 if size <= 1 / 4 else 2
        else:
            right = 0 if size <= 1 / 8 else 1
        assert each.right == right, day.seed
        assert all(abs(size - limit) >= 1 / 32 - 1e-9 for limit in (1 / 8, *([1 / 4] if place == "corner" else [])))


def test_a_specimen_and_a_whole_test_by_the_clause():
    for day, each in all_of("specimen"):
        assert each.go != fails(openings_of(each)), day.seed
    for day, each in all_of("plate"):
        rows = openings_of(each)
        assert each.go != any(fails([row for row in rows if row[0] == specimen]) for specimen in (1, 2)), day.seed


def test_a_sum_takes_what_is_over_1_32_in_and_not_over_1_8_in():
    """AWS D1.1:2015, 4.9.3.3: the sum is of those over 1/32 in and not over 1/8 in; a longer one fails by itself."""
    for _, each in all_of("sum"):
        total = sum(size for _, size, _, _ in openings_of(each) if 1 / 32 + 1e-9 < size <= 1 / 8 + 1e-9)
        assert float(each.value.amount) / INCH == pytest.approx(total)


def test_a_retest_at_once_takes_two_plates_for_each_one_failed():
    """AWS D1.1, clause 4.32.1 as discussions quote it: two at once, one after training."""
    for _, each in all_of("retest"):
        each_failed = 2 if each.result.inputs["route"] == "immediate" else 1
        assert each.value.amount == each_failed * int(each.result.inputs["failed"])


def test_undercut_and_reinforcement_of_an_accepted_plate_keep_to_the_clause():
    """AWS D1.1:2015, 4.9.1: no crack, craters filled, undercut at most 1/32 in, reinforcement at most 1/8 in."""
    for day, each in all_of("visual"):
        said = each.result.inputs
        sound = said["cracks"] == said["fusion"] == said["porosity"] == "no" and said["craters"] == "yes"
        sound &= all(said[name] for name in ("undercut_depth", "reinforcement", "underfill")) and bool(
            number(said["undercut_depth"]) <= 1 / 32 and number(said["reinforcement"]) <= 1 / 8
            and number(said["underfill"]) == 0 and number(said["mismatch"]) <= min(number(said["thickness"]) / 10, 1 / 8))
        assert each.go == sound, day.seed


def test_what_the_eye_finds_is_drawn_and_not_told():
    """The usual signs: a crack is a thin crooked line, a pore a round spot, incomplete fusion a seam at an edge."""
    shown = set()
    for day, each in all_of("visual"):
        said, (look, seed) = each.result.inputs, each.look
        words = seen(look)
        shown.add(look)
        assert ("thin crooked dark line" in words) == (said["cracks"] == "yes"), day.seed
        assert ("round dark spots" in words) == (said["porosity"] == "yes"), day.seed
        assert ("straight dark seam" in words) == (said["fusion"] == "yes"), day.seed
        if each.go:
            assert look in ("look-sound", "look-undercut"), day.seed
            assert (look == "look-undercut") == (number(said["undercut_depth"]) > 0), day.seed
        told = {label for label, _ in each.told}
        assert not told & {each.result.calculator.input(name).label for name in ("cracks", "fusion", "porosity")}
        form = sheet.decision_html(day, day.decisions.index(each), "q")
        assert words in form and "cut across" not in form and seed == day.seed
    assert len(shown) > 7


# --- units -------------------------------------------------------------------------------------------


def in_si(each, text: str) -> str:
    if isinstance(each, Quantity) and text:
        return show_as_written(each.read(text, "us"), each.kind, "si").replace("\u202f", "")
    if isinstance(each, Rows) and text:
        return "; ".join(" | ".join(in_si(column, cell) for column, cell in zip(each.columns, row)) for row in each.cells(text))
    return text


def test_a_reader_of_si_units_comes_to_the_same_verdicts():
    """Every number as it is shown in SI, typed in again: the same speaks against it."""
    for day in days()[:60]:
        for each in day.decisions:
            if each.go is None or each.result is None:
                continue
            calc = each.result.calculator
            again = calc.answer({name: in_si(calc.input(name), text) for name, text in each.result.inputs.items()}, "si")
            against = [{(check.id.split("-")[0], check.level) for check in found.checks if check.level.severity}
                for found in (each.result, again)]
            assert against[0] == against[1], (day.seed, each.id)


# --- marking -----------------------------------------------------------------------------------------


def right_answers(day: Day, system: str) -> dict[str, str]:
    return {each.id: each.value.text(system) if each.value else str(each.right) for each in day.decisions}


@pytest.mark.parametrize("system", ["us", "si"])
def test_the_key_is_marked_right_and_everything_else_is_not(system):
    for day in days()[:40]:
        assert all(each.right for each in sheet.mark_day(day, right_answers(day, system), system)), day.seed
        wrong = {each.id: "7654 " + (each.value.kind.unit(system).symbol if each.value.kind else "") if each.value
            else str((each.right + 1) % len(each.options)) for each in day.decisions}
        assert not any(each.right for each in sheet.mark_day(day, wrong, system)), day.seed
        assert not any(each.right for each in sheet.mark_day(day, {}, system))


def test_the_page_of_a_decision_tells_no_key():
    asked = json.loads(respond(json.dumps({"do": "mock-day", "seed": "7"})))
    day = draw_day("7")
    assert [each["id"] for each in asked["decisions"]] == [each.id for each in day.decisions]
    for page, each in zip(asked["decisions"], day.decisions):
        for why in each.reasons:
            assert phrase_text(why, "us") not in page["html"]
        assert 'checked' not in page["html"]


def test_an_answer_keeps_its_unit_when_the_units_are_switched():
    read = {"do": "mock-day-read", "seed": "7", "decision": "layout", "answer": "1.375", "system": "us"}
    kept = json.loads(respond(json.dumps(read)))["text"]
    request = {"do": "mock-day-mark", "seed": "7", "today": "2026-03-02", "answers": {"layout": kept}, "system": "si"}
    assert json.loads(respond(json.dumps(request)))["right"] == 1


def test_what_cannot_be_read_is_told_before_the_next_decision():
    for answer, words in (("", "Write a number"), ("soon", "does not start with a number")):
        read = json.loads(respond(json.dumps({"do": "mock-day-read", "seed": "7", "decision": "layout", "answer": answer})))
        assert read["error"].lower().find(words.lower().split()[-1]) >= 0, read
    assert json.loads(respond(json.dumps({"do": "mock-day-read", "seed": "7", "decision": "wps", "answer": "9"})))["error"]


def test_the_end_counts_by_stage_and_is_remembered_by_objective():
    day = draw_day("7")
    answers = right_answers(day, "us") | {"interpass": "0"}
    told = json.loads(respond(json.dumps({"do": "mock-day-mark", "seed": "7", "today": "2026-03-02", "answers": answers})))
    assert told["right"] == told["total"] - 1 and "1 of 2" in told["html"] and "never a certification" in told["html"]
    assert set(told["memory"]) == {each.objective for each in day.decisions}
    by = {name: each["stability"] for name, each in told["memory"].items()}
    assert by["heat-interpass"] < by["heat-preheat"]
    assert "practice.html?objectives=heat-interpass" in told["html"]


# --- on paper, and from the command line --------------------------------------------------------------


def command(*words: str) -> subprocess.CompletedProcess:
    return subprocess.run([sys.executable, "-m", "calc", "mock-day", *words], cwd=ROOT, capture_output=True, text=True)


@pytest.mark.parametrize("units", ["us", "si"])
def test_the_command_line_prints_what_the_page_prints(units):
    asked = {"do": "mock-day-print", "seed": "Fennick-7", "examiner": True, "units": units}
    page = json.loads(respond(json.dumps(asked)))
    printed = command("--seed", "Fennick-7", "--examiner", "--system", units, "--html").stdout
    assert page["html"] in printed
    assert page["line"].split()[3:] == ["mock-day", "--seed", "Fennick-7", *(["--system", "si"] if units == "si" else []), "--examiner"]


def test_the_examiners_sheet_begins_on_a_new_sheet_and_only_when_asked():
    with_key, without = (sheet.day_text(days()[3], examiner, "us") for examiner in (True, False))
    assert "Examiner" not in without and "Source:" not in without and "Points" not in without
    assert f"{NEW_SHEET}Examiner's sheet, seed 3" in with_key
    assert with_key.count("Points: 1") == len(days()[3].decisions)
    assert with_key.startswith(without.partition("Made by")[0].rpartition("\n")[0].rpartition("\n")[0][:2000])
    assert "break-before:recto" in sheet.day_document(days()[3], True, "us")


def test_a_seed_that_cannot_be_used_is_refused_in_one_line():
    found = command("--seed", "7 8")
    assert found.returncode == 2 and "seed: write 1 to 40 letters" in found.stderr and not found.stdout
    assert command("--seed").returncode == command("--sead", "7").returncode == 2
    assert json.loads(respond(json.dumps({"do": "mock-day", "seed": "7 8"})))["refused"].startswith("seed: write")


# --- the reader's own test ----------------------------------------------------------------------------


def test_a_day_of_the_readers_own_test_goes_by_its_limits(tmp_path):
    day = draw_day("7", TEST)
    shown = {label: phrase_text(said, "us").replace("\u00a0", " ") for label, said in day.wps}
    assert shown["Amperage"] == "115 A to 135 A" and shown["Maximum interpass temperature"] == "500 °F"
    each = next(each for each in day.decisions if each.id == "interpass")
    metal = parse(each.result.inputs["metal"], TEMPERATURE)
    assert each.right == (1 if metal < parse("50 degF", TEMPERATURE) else 2 if metal > parse("500 degF", TEMPERATURE) else 0)
    path = tmp_path / "my-test.json"
    path.write_text(write_record(TEST), encoding="utf-8")
    page = json.loads(respond(json.dumps({"do": "mock-day-print", "seed": "7", "test": as_data(TEST)})))
    assert page["html"] in command("--seed", "7", "--test", str(path), "--html").stdout


def test_a_rule_that_the_guide_holds_no_list_of_is_not_judged_by_another():
    day = draw_day("7", replace(TEST, values={**TEST.values, "rule_document": "iso-9606-1"}))
    assert not {"visual", "retest", "plate"} & {each.id for each in day.decisions}
    assert {each.partition(": ")[2].split(":")[0] for each in day.notes} >= {"visual", "retest", "plate"}


def test_the_amperage_is_not_asked_about_by_limits_that_were_drawn_for_another_rod():
    """A low-hydrogen 1/8 in rod of the reader's, its limits blank: what was drawn is nothing to ask the reader about."""
    for seed in range(20):
        test = replace(TEST, values={**TEST.values, "electrode": "E7018", "diameter": "1/8 in", "amps_low": "", "amps_high": ""})
        (wps,) = (each for each in draw_day(str(seed), test).decisions if each.id == "wps")
        assert phrase_text(wps.options[wps.right], "us") != "Amperage"


def test_side_bends_are_no_wrong_answer_where_they_may_replace_both():
    """AWS D1.1:2010, Table 4.11, note on 3/8 in plate: two side bends may stand in for the face and the root bend."""
    for _, each in all_of("kinds"):
        texts = [phrase_text(option, "us") for option in each.options]
        assert texts[each.right] != "1 face bend and 1 root bend" or "2 side bends" not in texts


def test_another_record_is_no_test(tmp_path):
    path = tmp_path / "plate.json"
    path.write_text(write_record(PLATE), encoding="utf-8")
    found = command("--test", str(path))
    assert found.returncode == 2 and "not a test" in found.stderr
    assert command("--test", str(tmp_path / "none.json")).returncode == 2
