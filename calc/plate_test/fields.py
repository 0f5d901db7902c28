"""The facts of a plate test, each declared once: what the WPS says, what the plate and the shop are.

A fact is the input of a calculator that may be left blank; label, units, range and help are those of the calculators.
Names never change once published, since files and links carry them. While a fact is blank the figure of the invented
shop stands in, and the guide says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from calc.core.declare import Calculator, Choice, Day, Input, Option, Quantity, Rows
from calc.core.forms import Form, Section, taken_from, words
from calc.planning.class_plan import CLASS_PLAN
from calc.stages.bend import BEND_RATIO, SPRING_BACK
from calc.stages.cleaning import CLEAN_BAND
from calc.stages.coupons import COUPON_LAYOUT
from calc.stages.current import CURRENT_SETTING, UNSTATED
from calc.stages.cutting import CUT_SPEED
from calc.stages.groove import GROOVE
from calc.stages.heat import PREHEAT
from calc.stages.machine import CABLE_DROP, DUTY_CYCLE
from calc.stages.passes import PASSES
from calc.stages.wps import WPS_CHECK


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

    @property
    def stands_in(self) -> bool:
        """Whether a figure of the invented shop takes its place while it is blank."""
        return self.stand_in not in ("", UNSTATED)


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


_WPS, _PLATE, _SHOP = SaidBy.WPS, SaidBy.PLATE, SaidBy.SHOP
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
            _of(WPS_CHECK, "steel", _WPS, True),
            _of(GROOVE, "thickness", _PLATE, True),
            _of(WPS_CHECK, "position", _WPS, True),
            _of(WPS_CHECK, "progression", _WPS, True),
            _of(WPS_CHECK, "electrode", _WPS, True),
            _of(WPS_CHECK, "diameter", _WPS, True),
            _of(WPS_CHECK, "amps_low", _WPS, True),
            _of(WPS_CHECK, "amps_high", _WPS, True),
            _of(WPS_CHECK, "root_opening", _WPS, True),
            _of(WPS_CHECK, "opening_over", _WPS),
            _of(WPS_CHECK, "opening_under", _WPS),
        ), True,
    ),
    Part(
        "joint", "The joint", "The rest of the groove and the plates, from the drawing in the WPS.",
        (
            _of(WPS_CHECK, "bevel_angle", _WPS, True),
            _of(WPS_CHECK, "bevel_over", _WPS),
            _of(WPS_CHECK, "bevel_under", _WPS),
            _of(WPS_CHECK, "root_face", _WPS),
            _of(WPS_CHECK, "root_face_over", _WPS),
            _of(GROOVE, "cap_height", _WPS),
            _of(COUPON_LAYOUT, "plate_length", _WPS, True),
            _of(GROOVE, "finished_width", _WPS, True),
            _of(CLEAN_BAND, "backing_width", _WPS),
            _of(CLASS_PLAN, "backing_thickness", _WPS),
            _of(CLEAN_BAND, "run_off", _WPS),
        ),
    ),
    Part(
        "limits", "The limits of the WPS", "They come before any figure of the guide. Outside them is Stop.",
        (
            Field(words("wps", "WPS", "Its number and revision."), _WPS),
            _of(WPS_CHECK, "rule_document", _WPS, True),
            Field(words("edition", "Edition of the rule document", "As the WPS names it, as in 2020.", 40), _WPS),
            _of(WPS_CHECK, "polarity", _WPS, True),
            _of(WPS_CHECK, "volts_low", _WPS),
            _of(WPS_CHECK, "volts_high", _WPS),
            _of(WPS_CHECK, "travel_low", _WPS),
            _of(WPS_CHECK, "travel_high", _WPS),
            _of(WPS_CHECK, "heat_most", _WPS),
            _of(WPS_CHECK, "preheat_minimum", _WPS, True),
            _of(WPS_CHECK, "interpass_maximum", _WPS, True),
            _of(WPS_CHECK, "layer_most", _WPS),
            _of(WPS_CHECK, "exposure_most", _WPS),
            Field(words("cleaning_tools", "Tools for interpass cleaning",
                "As in: hand tools only, or power wire wheel allowed."), _WPS),
            _of(WPS_CHECK, "other_rods", _WPS), Field(HOLD_POINTS, _WPS),
        ),
    ),
    Part(
        "machine", "Machine and rods", "What stands in your booth.",
        (
            Field(taken_from(CURRENT_SETTING, "amps",
                help="What you set. Blank: the middle of the amperage of your WPS."), _SHOP),
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
            _of(PREHEAT, "air", _SHOP, True, label="Temperature of the air in the shop"),
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
), "test")
FIELDS: dict[str, Field] = {field.input.name: field for part in PARTS for field in part.fields}
"""Every fact by its id."""
STAND_INS: dict[str, str] = {
    name: field.stand_in for name, field in FIELDS.items() if field.stand_in not in ("", UNSTATED)
}
"""What stands in for each blank fact that has something, as the form shows it."""

BANDS = (("amps_low", "amps_high"), ("volts_low", "volts_high"), ("travel_low", "travel_high"),
    ("preheat_minimum", "interpass_maximum"), ("cut_speed_low", "cut_speed_high"))
"""Facts of which the first may not be over the second."""


def deciding() -> Iterator[str]:
    """The ids of the facts without which a verdict is about another test."""
    return (name for name, field in FIELDS.items() if field.decides)
