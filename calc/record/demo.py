"""Demonstration records of the Fennick Lock Training Shop. The shop, the people and every figure are invented."""

from __future__ import annotations

from calc.record.shape import Record

_MOMENT = "2026-03-02T15:40:00Z"
INVENTED = "Fennick Lock Training Shop"

PLATE = Record(
    "demo-plate-0001", "test-day", "Fennick Lock, plate 7", "2026-03-02T07:30:00Z", _MOMENT, invented=True,
    values={
        "date": "2026-03-02", "welder": "Trainee 7", "shop": INVENTED,
        "procedure": "FL-TP-03, issue 2", "bend_rule": "aws", "figures": "inch", "visual_rule": "test-plate",
        "fit_up_rule": "as-detailed", "steel": "A36", "heat_number": "INV-40217", "plate_mark": "FL 7",
        "thickness": "3/8 in", "plate_length": "7 in", "plate_width": "6 in", "position": "3G", "direction": "up",
        "electrode": "E7018", "diameter": "1/8 in", "lot": "INV-88", "rod_storage": "Oven, can with a lid",
        "rod_suffix": "E7018", "rods_out": "07:50", "rods_last": "10:20", "required": "1/4 in",
        "bevel_angle": "22.5 deg", "root_face": "0 in", "mismatch": "0 in", "backing_gap": "0 in", "machine": "Booth 3",
        "polarity": "dcep", "amps_low": "115 A", "amps_high": "135 A", "amps": "120 A", "air": "62 degF",
        "preheat_minimum": "50 degF", "plate_temperature": "64 degF", "interpass": "400 degF",
        "cracks": "no", "craters": "yes", "fusion": "no", "undercut_depth": "1/64 in", "underfill": "0 in",
        "reinforcement": "1/16 in", "porosity": "no", "root": "backing", "root_flaw": "no", "mismatch_after": "0 in",
        "visual_note": "Undercut at the left toe, 2 in from the start", "discard": "1 in", "saw_cut": "1/8 in",
        "gap": "0 in", "coupon_length": "6 in", "plunger_diameter": "1-1/2 in", "yield_strength": "36 ksi",
        "bends_note": "Open discontinuity 1 is dark and stringy inside",
        "note_1": "Restart in fill 2 at the middle of the plate",
    },
    rows={
        "readings": (("0 in", "1/4 in"), ("3-1/2 in", "1/4 in"), ("7 in", "9/32 in")),
        "passes": (
            ("root", "2", "64 degF", "125 A"), ("fill 1", "2", "210 degF", ""), ("fill 2", "3", "300 degF", ""),
            ("cover", "2", "340 degF", "115 A"),
        ),
        "coupons": (("face", "3/8 in", "1-1/2 in", "yes", "1/16 in"), ("root", "3/8 in", "1-1/2 in", "yes", "1/16 in")),
        "findings": (
            ("1", "1/16 in", "face", "yes", "2-7/8 in"), ("1", "3/32 in", "face", "no", "3-1/4 in"),
            ("2", "3/16 in", "corner", "no", "3 in"),
        ),
    },
)
LOG = Record(
    "demo-log-0001", "continuity", "Fennick Lock, log of trainee 7", "2026-03-02T07:30:00Z", _MOMENT,
    invented=True,
    values={
        "welder": "Trainee 7", "process": "Stick (SMAW)", "continuity_rule": "d1.1",
        "qualified_on": "2025-08-31",
    },
    rows={
        "uses": (
            ("2025-11-14", "used", "Gate frame, job 12"),
            ("2026-02-27", "signed", "Stair stringer, job 19"),
        ),
    },
)
TEST = Record(
    "demo-test-0001", "plate-test", "Fennick Lock, 3G on 3/8 in", "2026-03-02T07:30:00Z", _MOMENT,
    invented=True,
    values={
        "steel": "A36", "thickness": "3/8 in", "position": "3G", "progression": "up", "electrode": "E7018",
        "diameter": "1/8 in", "amps_low": "115 A", "amps_high": "135 A", "root_opening": "1/4 in",
        "opening_over": "1/16 in", "opening_under": "0 in", "bevel_angle": "22.5 deg", "root_face": "0 in",
        "wps": "FL-TP-03, issue 2", "rule_document": "d1.1", "edition": "2015", "polarity": "dcep",
        "volts_low": "21 V", "volts_high": "25 V", "travel_low": "3 in/min", "travel_high": "8 in/min",
        "preheat_minimum": "50 degF", "interpass_maximum": "500 degF", "layer_most": "3/16 in", "exposure_most": "4 h",
        "cleaning_tools": "hand tools only", "plate_length": "7 in", "finished_width": "6 in", "amps": "120 A",
        "test_date": "2026-03-02", "air": "62 degF",
    },
    rows={"hold_points": (("fit-up, before the root pass",), ("finished weld, before cutting",))},
)
DEMOS = (PLATE, LOG)
"""What the record's page adds as examples; the page of the test has its own."""
