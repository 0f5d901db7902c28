"""The one visible list of calculators, and of the facts they and the pages use."""

from __future__ import annotations

from calc.core.declare import Calculator
from calc.core.sources import Fact
from calc.photo import photo_measure
from calc.planning import class_plan, cut_list
from calc.practice import plates
from calc.stages import (
    bend,
    bevel,
    cleaning,
    coupons,
    current,
    cutting,
    fitup,
    groove,
    heat,
    joint,
    judging,
    machine,
    passes,
    qualification,
    rods,
    safety,
    steels,
    thermal,
    visual,
    wps,
)

CALCULATORS: tuple[Calculator, ...] = (
    safety.LENS_SHADE,
    safety.HOT_WORK_CHECK,
    safety.VENTILATION,
    safety.ACETYLENE_DRAW,
    safety.NOISE_DOSE,
    safety.FUME_LIMIT,
    wps.WPS_CHECK,
    cutting.CUT_SPEED,
    cutting.CUT_OXYGEN,
    bevel.BEVEL_CUT,
    groove.GROOVE,
    current.CURRENT_SETTING,
    machine.DUTY_CYCLE,
    machine.CABLE_DROP,
    machine.ARC_LENGTH,
    rods.ROD_EXPOSURE,
    heat.PREHEAT,
    heat.CARBON_EQUIVALENT,
    heat.HEAT_INPUT_CALCULATOR,
    heat.COOLING_TIME,
    thermal.PLATE_HEAT,
    thermal.INTERPASS_WAIT,
    passes.PASSES,
    passes.TRAVEL,
    visual.VISUAL_CHECK,
    bend.BEND_RATIO,
    bend.BEND_FORCE,
    bend.SPRING_BACK,
    coupons.COUPON_LAYOUT,
    judging.BEND_JUDGE,
    cleaning.CLEAN_BAND,
    fitup.FIT_UP,
    fitup.PRESET,
    qualification.TEST_PLAN,
    qualification.RETEST,
    qualification.CONTINUITY,
    cut_list.CUT_LIST,
    cut_list.SHEET_PLAN,
    class_plan.CLASS_PLAN,
    plates.PLATE_CHANCE,
    photo_measure.PHOTO_MEASURE,
)
FACTS: tuple[Fact, ...] = (
    *safety.FACTS,
    *cutting.FACTS,
    *bevel.FACTS,
    *joint.FACTS,
    *groove.FACTS,
    *current.FACTS,
    *machine.FACTS,
    *rods.FACTS,
    *steels.FACTS,
    *heat.FACTS,
    *thermal.FACTS,
    *passes.FACTS,
    *visual.FACTS,
    *bend.FACTS,
    *coupons.FACTS,
    *judging.FACTS,
    *cleaning.FACTS,
    *fitup.FACTS,
    *qualification.FACTS,
    *cut_list.FACTS,
    *class_plan.FACTS,
    *photo_measure.FACTS,
)


def calculator(identifier: str) -> Calculator:
    """The calculator of that id. Raises `KeyError` that lists the ids there are.

    >>> calculator("groove").title
    'Groove size and weld metal'
    """
    for each in CALCULATORS:
        if each.id == identifier:
            return each
    raise KeyError(f"there is no calculator “{identifier}”; there are {', '.join(each.id for each in CALCULATORS)}")


def fact(identifier: str) -> Fact:
    """The fact of that id. Raises `KeyError`.

    >>> fact("plan-kerf").label
    'Kerf of a hand torch on thin plate, to plan with'
    """
    for each in FACTS:
        if each.id == identifier:
            return each
    raise KeyError(f"there is no fact “{identifier}” in the register")
