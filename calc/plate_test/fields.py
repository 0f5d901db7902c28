"""The facts of a plate test, each declared once: what the WPS says, what the plate and the shop are.

A fact is the input of a calculator that may be left blank; label, units, range and help are those of the calculators.
Names never change once published, since files and links carry them. While a fact is blank the figure of the invented
shop stands in, and the guide says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

from calc.core.declare import Calculator, Choice, Day, Input, Option, Quantity, Rows
from calc.core.forms import Form, Section, taken_from, words
from calc.core.units import ANGLE, LENGTH, TRAVEL_SPEED, VOLTAGE
from calc.planning.class_plan import CLASS_PLAN
from calc.planning.cut_list import CUT_LIST
from calc.stages.bend import BEND_RATIO, SPRING_BACK
from calc.stages.cleaning import CLEAN_BAND
from calc.stages.coupons import COUPON_LAYOUT
from calc.stages.current import CURRENT_SETTING, UNSTATED
from calc.stages.cutting import CUT_SPEED
from calc.stages.fitup import FIT_UP
from calc.stages.groove import GROOVE
from calc.stages.heat import HEAT_INPUT_CALCULATOR, PREHEAT
from calc.stages.machine import CABLE_DROP, DUTY_CYCLE
from calc.stages.passes import PASSES, TRAVEL
from calc.stages.qualification import TEST_PLAN
from calc.stages.rods import ROD_EXPOSURE


class SaidBy(Enum):
    """Who says a fact, and so whom to ask for it."""

    WPS = "your WPS"
    PLATE = "the plate in front of you"
    SHOP = "your shop"


@dataclass(frozen=True)
class Field:
    """One fact of the test. `stand_in` is the invented shop's, used while it is blank; "" where nothing stands in.

    Without a fact that `decides`, a verdict is about another test: left blank, it is told as missing.
    """

    input: Input
    said_by: SaidBy
    stand_in: str = ""
    decides: bool = False


@dataclass(frozen=True)
class Part:
    """One part of the test and its facts. `first` stands open: what a reader needs for the first useful answer."""

    id: str
    title: str
    help: str
    fields: tuple[Field, ...]
    first: bool = False


def _of(calculator: Calculator, source: str, said_by: SaidBy, decides: bool = False, **changes) -> Field:
    """A fact that is an input of a calculator; its default stands in."""
    each = calculator.input(source)
    if isinstance(each, Choice):
        changes["options"] = tuple(option for option in each.options if option.value != UNSTATED)
    return Field(taken_from(calculator, source, **changes), said_by, each.default, decides)


def _blank(name: str, label: str, like: Quantity, help: str, said_by: SaidBy = SaidBy.WPS) -> Field:
    """A limit that nothing stands in for, with the kind and the range of an input."""
    return Field(replace(like, name=name, label=label, help=help, default="", common=(), slide=None), said_by)


_WPS, _PLATE, _SHOP = SaidBy.WPS, SaidBy.PLATE, SaidBy.SHOP
_ROOT_FACE = GROOVE.input("root_face")
_VOLTS = HEAT_INPUT_CALCULATOR.input("volts")
_SPEED = HEAT_INPUT_CALCULATOR.input("speed")
_CURRENT = CURRENT_SETTING.input("wps_low")
_IF_STATED = "Leave blank if it states none."

OTHER_RODS = Rows(
    "other_rods", "Passes with another rod",
    (
        words("layer", "Pass", "Root, fill or cover, as the WPS names it.", 20),
        replace(CURRENT_SETTING.input("electrode"), takes=None),
        replace(CURRENT_SETTING.input("diameter"), takes=None),
        replace(_CURRENT, name="amps_low", label="Minimum amperage", takes=None),
        replace(CURRENT_SETTING.input("wps_high"), name="amps_high", label="Maximum amperage", takes=None),
        replace(_VOLTS, name="volts_low", label="Minimum voltage", default="", takes=None),
        replace(_VOLTS, name="volts_high", label="Maximum voltage", default="", takes=None),
    ),
    "", "Only where the WPS names another class or size for some passes. Voltage may stay blank.", row_name="Pass",
    fewest=0, most=6,
)
HOLD_POINTS = Rows(
    "hold_points", "Hold points", (words("point", "Hold point", "What waits for the inspector, as in: fit-up.", 60),),
    "", "Where you stop and call the inspector. From the WPS or the rules of the test.", row_name="Hold point",
    fewest=0, most=10,
)

PARTS: tuple[Part, ...] = (
    Part(
        "first", "The test in a dozen facts",
        "From your WPS, line by line. What you leave blank is the invented shop's.",
        (
            _of(PREHEAT, "steel", _WPS, True, label="Steel, standard and grade"),
            _of(GROOVE, "thickness", _PLATE, True),
            _of(CURRENT_SETTING, "position", _WPS, True),
            _of(CURRENT_SETTING, "progression", _WPS, True),
            _of(CURRENT_SETTING, "electrode", _WPS, True),
            _of(CURRENT_SETTING, "diameter", _WPS, True, label="Core diameter of the rod"),
            _of(CURRENT_SETTING, "wps_low", _WPS, True, name="amps_low"),
            _of(CURRENT_SETTING, "wps_high", _WPS, True, name="amps_high"),
            _of(GROOVE, "root_opening", _WPS, True),
            _of(FIT_UP, "over", _WPS, name="opening_over", label="Root opening, tolerance over",
                help=f"How much wider your WPS allows it. {_IF_STATED}"),
            _of(FIT_UP, "under", _WPS, name="opening_under", label="Root opening, tolerance under",
                help=f"How much tighter your WPS allows it. {_IF_STATED}"),
        ), True,
    ),
    Part(
        "joint", "The joint", "The rest of the groove and the plates, from the drawing in the WPS.",
        (
            _of(GROOVE, "bevel_angle", _WPS, True),
            Field(Quantity("bevel_over", "Bevel angle, tolerance over", ANGLE, "", "0 deg", "30 deg",
                f"On one plate. {_IF_STATED}"), _WPS),
            Field(Quantity("bevel_under", "Bevel angle, tolerance under", ANGLE, "", "0 deg", "30 deg",
                f"On one plate. {_IF_STATED}"), _WPS),
            _of(GROOVE, "root_face", _WPS),
            Field(Quantity("root_face_over", "Root face, tolerance over", LENGTH, "", "0 in", "1/4 in", _IF_STATED),
                _WPS),
            _of(GROOVE, "cap_height", _WPS),
            _of(COUPON_LAYOUT, "plate_length", _WPS),
            _of(GROOVE, "finished_width", _WPS),
            _of(CLEAN_BAND, "backing_width", _WPS),
            _of(CLASS_PLAN, "backing_thickness", _WPS),
            _of(CLEAN_BAND, "run_off", _WPS),
        ),
    ),
    Part(
        "limits", "The limits of the WPS", "They come before any figure of the guide. Outside them is Stop.",
        (
            Field(words("wps", "WPS", "Its number and revision."), _WPS),
            _of(TEST_PLAN, "rule", _WPS, True, name="rule_document", label="Rule document"),
            Field(words("edition", "Edition of the rule document", "As the WPS names it, as in 2020.", 40), _WPS),
            _of(CURRENT_SETTING, "polarity", _WPS, True, help="As your WPS says."),
            _blank("volts_low", "Minimum arc voltage of your WPS", _VOLTS, _IF_STATED),
            _blank("volts_high", "Maximum arc voltage of your WPS", _VOLTS, _IF_STATED),
            _blank("travel_low", "Minimum travel speed of your WPS", _SPEED, _IF_STATED),
            _blank("travel_high", "Maximum travel speed of your WPS", _SPEED, _IF_STATED),
            _of(HEAT_INPUT_CALCULATOR, "most", _WPS, name="heat_most"),
            _of(PREHEAT, "wps_minimum", _WPS, True, name="preheat_minimum"),
            _of(PREHEAT, "interpass", _WPS, True, name="interpass_maximum"),
            _blank("layer_most", "Maximum thickness of a layer in your WPS", PASSES.input("layer_thickness"),
                _IF_STATED),
            _of(ROD_EXPOSURE, "own_limit", _WPS, name="exposure_most"),
            Field(words("cleaning_tools", "Tools for interpass cleaning",
                "As in: hand tools only, or power wire wheel allowed."), _WPS),
            Field(OTHER_RODS, _WPS), Field(HOLD_POINTS, _WPS),
        ),
    ),
    Part(
        "machine", "Machine and rods", "What stands in your booth.",
        (
            # No other shop's amperage stands in: what is set then is the middle of the WPS (facts.py).
            replace(_of(CURRENT_SETTING, "amps", _SHOP,
                help="What you set. Blank: the middle of the amperage of your WPS."), stand_in=""),
            _of(DUTY_CYCLE, "rated_current", _SHOP), _of(DUTY_CYCLE, "rated_duty", _SHOP),
            _of(CABLE_DROP, "electrode_lead", _SHOP), _of(CABLE_DROP, "work_lead", _SHOP),
            _of(CABLE_DROP, "cable", _SHOP),
            _of(PASSES, "rod_length", _SHOP), _of(PASSES, "stub", _SHOP), _of(PASSES, "burn_time", _SHOP),
            _of(PASSES, "layer_thickness", _SHOP), _of(PASSES, "rod_mass", _SHOP), _of(PASSES, "efficiency", _SHOP),
        ),
    ),
    Part(
        "shop", "The shop", "Torch, saw and jig, the air, and the day.",
        (
            Field(Day("test_date", "Date of the test", "", "Year-month-day."), _SHOP),
            _of(PREHEAT, "air", _SHOP, label="Temperature of the air in the shop"),
            _of(GROOVE, "kerf", _SHOP), _of(GROOVE, "drop_margin", _SHOP),
            _of(CUT_SPEED, "own_low", _SHOP, name="cut_speed_low"),
            _of(CUT_SPEED, "own_high", _SHOP, name="cut_speed_high"),
            _of(CLASS_PLAN, "acetylene_cylinder", _SHOP),
            _of(COUPON_LAYOUT, "discard", _WPS, label="Discard at each end of the plate"),
            _of(COUPON_LAYOUT, "saw_cut", _SHOP), _of(SPRING_BACK, "coupon_length", _WPS),
            _of(BEND_RATIO, "plunger_diameter", _SHOP, label="Plunger diameter of the jig"),
        ),
    ),
)

FORM = Form("plate-test", "Your test", tuple(
    Section(part.id, part.title, part.help, tuple(field.input for field in part.fields)) for part in PARTS
))
FIELDS: dict[str, Field] = {field.input.name: field for part in PARTS for field in part.fields}
"""Every fact by its id."""

BANDS = (("amps_low", "amps_high"), ("volts_low", "volts_high"), ("travel_low", "travel_high"),
    ("preheat_minimum", "interpass_maximum"), ("cut_speed_low", "cut_speed_high"))
"""Facts of which the first may not be over the second."""


def deciding() -> Iterator[str]:
    """The ids of the facts without which a verdict is about another test."""
    return (name for name, field in FIELDS.items() if field.decides)
