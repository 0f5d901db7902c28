"""What a record can hold: its fields, in the order of the day, declared by the inputs of the calculators that judge
them.

A field is an input of a calculator that may be left blank. Labels, units, ranges and help are those of the calculators;
names never change once published, since files carry them.
"""

from __future__ import annotations

from dataclasses import replace

from calc.core.declare import Choice, Day, Option, Quantity, Rows, Whole
from calc.core.forms import Form, Section, taken_from, words
from calc.core.units import CURRENT, LENGTH, TEMPERATURE
from calc.plate_test.fields import FORM as PLATE_TEST
from calc.stages.bend import BEND_RATIO
from calc.stages.coupons import COUPON_LAYOUT
from calc.stages.current import CURRENT_SETTING
from calc.stages.fitup import FIT_UP
from calc.stages.heat import PREHEAT
from calc.stages.judging import BEND_JUDGE
from calc.stages.passes import PASSES
from calc.stages.qualification import CONTINUITY
from calc.stages.rods import ROD_EXPOSURE
from calc.stages.visual import VISUAL_CHECK


NO_YES = (Option("no", "No"), Option("yes", "Yes"))
KINDS = (Option("face", "Face bend"), Option("root", "Root bend"), Option("side", "Side bend"))
_WPS_FIRST = "From your WPS. It comes before any table."
_BEFORE_WELDING = (
    "Clear what can burn, set the fire watch, keep gloves and clothes dry. Your instructor has seen the setup."
)

_THE_DAY = Section(
    "day", "The day and the rules", "Who welds, and to which WPS. The rules chosen here judge every figure below.", (
        Day("date", "Date of the test", "", "Year-month-day."),
        words("welder", "Welder", "Name or stamp, as on the plate."),
        words("shop", "Shop", "Where the plate is welded."),
        words("procedure", "WPS", "Its number and issue. It comes before anything on this sheet."),
        taken_from(BEND_JUDGE, "rule", name="bend_rule", label="Rule for the bent specimens"),
        taken_from(BEND_JUDGE, "figures"),
        taken_from(VISUAL_CHECK, "rule", name="visual_rule", label="Rule for visual inspection"),
        taken_from(FIT_UP, "rule", name="fit_up_rule", label="Tolerance of the root opening"),
        taken_from(FIT_UP, "over"),
        taken_from(FIT_UP, "under"),
    ),
)
_PLATE = Section(
    "plate", "Plate", "Before the first cut, from the plate itself.",
    (
        words("steel", "Steel", "Standard and grade, as marked, such as A36."),
        words("heat_number", "Heat number", "Stamped or painted on the plate."),
        words("plate_mark", "Mark of this plate", "What you stamp on it, so that no one mixes it up."),
        taken_from(COUPON_LAYOUT, "thickness"), taken_from(COUPON_LAYOUT, "plate_length"), taken_from(COUPON_LAYOUT, "plate_width"),
        taken_from(CURRENT_SETTING, "position"),
        Choice(
            "direction", "Direction, vertical only", (Option("up", "Up"), Option("down", "Down")), "",
            "As your WPS says.",
        ),
    ),
)
_ROD = Section(
    "rod", "Rod", "From the container and the rod.", (
        taken_from(CURRENT_SETTING, "electrode"),
        taken_from(CURRENT_SETTING, "diameter"),
        words("lot", "Lot number", "Printed on the container."),
        words("rod_storage", "Storage", "Oven or sealed can, and how the rods were carried."),
        taken_from(ROD_EXPOSURE, "rod", name="rod_suffix", label="Suffix, low-hydrogen rods only"),
        taken_from(ROD_EXPOSURE, "out_at", name="rods_out"),
        taken_from(ROD_EXPOSURE, "now", name="rods_last", label="Last rod lit at"),
        taken_from(ROD_EXPOSURE, "earlier", name="rods_earlier"),
        taken_from(ROD_EXPOSURE, "own_limit", name="rods_limit"),
    ),
)
_FIT_UP = Section(
    "fit-up", "Fit-up", "Measured after tacking, before the first pass.",
    (
        taken_from(FIT_UP, "required"), taken_from(FIT_UP, "bevel_angle"), taken_from(PASSES, "root_face"),
        replace(
            FIT_UP.input("openings"), name="readings", default="", fewest=0,
            columns=(
                Quantity("place", "Position", LENGTH, "", "0 in", "120 in", "From one end of the joint."),
                Quantity("opening", "Root opening", LENGTH, "", "0 in", "2 in", "Measured at the backing."),
            ),
        ),
        taken_from(
            FIT_UP, "mismatch", help="How far one plate stands above the other, at the worst place. 0 in where they "
            "are level.",
        ),
        taken_from(FIT_UP, "backing_gap", help="Between backing and plate, with a feeler gauge. 0 in where it lies tight."),
    ),
)
_MACHINE = Section(
    "machine", "Machine and heat", "What the machine showed, and the temperature of the plate.", (
        words("machine", "Machine", "Number or mark of the machine, and its leads."),
        Choice("polarity", "Polarity", (
            Option("dcep", "DCEP, electrode positive"), Option("dcen", "DCEN, electrode negative"), Option("ac", "AC"),
        ), "", "As the container of the rods and your WPS say."),
        taken_from(CURRENT_SETTING, "wps_low", name="amps_low", help=_WPS_FIRST),
        taken_from(CURRENT_SETTING, "wps_high", name="amps_high", help=_WPS_FIRST),
        taken_from(CURRENT_SETTING, "amps", label="Amperage seen"),
        taken_from(PREHEAT, "air"),
        taken_from(PREHEAT, "wps_minimum", name="preheat_minimum"),
        taken_from(PREHEAT, "metal", name="plate_temperature", label="Temperature of the plate before welding"),
        taken_from(PREHEAT, "interpass"),
    ), _BEFORE_WELDING,
)
_PASSES = Section(
    "passes", "Passes", "One row a pass, written when the slag is off.",
    (
        Rows(
            "passes", "Passes",
            (
                words("name", "Pass", "Root, fill 1, cover.", 20),
                Whole("rods", "Rods used", "", 0, 200, "Whole rods; a stub counts as a rod."),
                Quantity(
                    "temperature", "Plate before the pass", TEMPERATURE, "", "-60 degF", "1200 degF",
                    "Interpass temperature, beside the groove.",
                ),
                Quantity("amps", "Amperage", CURRENT, "", "10 A", "600 A", "If you changed it."),
            ),
            "", "The temperature is taken on the plate, just before you strike.", row_name="Pass", fewest=0, most=40,
        ),
        words("passes_note", "Note on the passes", "Restarts, stops, anything ground out.", 200),
    ),
    "The plate is hot. Chip and brush with eye protection on, and never cool the plate in water.",
)
_VISUAL_NAMES = (
    "cracks", "craters", "fusion", "undercut_depth", "undercut_length", "underfill", "reinforcement", "porosity",
    "root", "root_flaw", "concavity", "melt_through",
)
_VISUAL = Section(
    "visual", "Visual inspection", "The whole weld, slag off, before anything is cut. A point left blank is not judged.",
    (
        *(taken_from(VISUAL_CHECK, name) for name in _VISUAL_NAMES),
        taken_from(VISUAL_CHECK, "mismatch", name="mismatch_after", label="Misalignment after welding"),
        words("visual_note", "Note", "Where on the weld you saw it.", 200),
    ),
    "Let the plate cool in air. Edges and slag are sharp.",
)
_COUPONS = Section(
    "coupons", "Bend specimens", "The layout on the plate, and each specimen as it goes into the jig.",
    (
        taken_from(COUPON_LAYOUT, "discard"), taken_from(COUPON_LAYOUT, "saw_cut"), taken_from(COUPON_LAYOUT, "gap"),
        taken_from(COUPON_LAYOUT, "coupon_length"), taken_from(BEND_RATIO, "plunger_diameter"),
        taken_from(BEND_RATIO, "yield_strength"),
        Rows(
            "coupons", "Specimens, in order along the weld",
            (
                Choice("kind", "Kind", KINDS, "face", "Which side is stretched."),
                Quantity(
                    "thickness", "Thickness in the jig", LENGTH, "", "1/16 in", "2 in",
                    "Of the ground specimen at the weld.",
                ),
                Quantity("width", "Width", LENGTH, "", "1/8 in", "6 in", "Along the plunger."),
                Choice("bent", "Bent", NO_YES, "no", "Yes once it has been through the jig."),
                Quantity(
                    "radius", "Edge radius", LENGTH, "", "0 in", "1/2 in", "Of the long edges, by a radius gauge. 0 in "
                    "where they are sharp.",
                ),
            ),
            "", "Specimen 1 lies nearest the end where you started to measure.", row_name="Specimen", fewest=0, most=8,
        ),
    ),
    "Clamp before you saw. Specimens are sharp, and hot after a torch or a grinder.",
)
_BENDS = Section(
    "bends", "Bend findings", "Every open discontinuity on the convex surface after the bend. No row means that "
    "nothing opened.",
    (
        Rows(
            "findings", "Open discontinuities found",
            (
                *BEND_JUDGE.input("openings").columns[:1], replace(BEND_JUDGE.input("openings").columns[1], default=""),
                *BEND_JUDGE.input("openings").columns[2:],
                Quantity(
                    "along", "From the left end", LENGTH, "", "0 in", "48 in",
                    "Along the specimen. Places the mark in the drawing.",
                ),
            ),
            "", BEND_JUDGE.input("openings").help, row_name="Open discontinuity", fewest=0, most=20,
        ),
        words("bends_note", "Note on the bends", "What the open discontinuity looks like inside.", 200),
    ),
    "A qualified person runs the jig. Touch no open discontinuity until it is measured: the edges cut.",
)
_AFTER = Section("after", "Notes", "Anything else that belongs to this day.", (
    words("note_1", "Note", "Your own words.", 400),
    words("note_2", "Second note", "Your own words.", 400),
))

TEST_DAY = Form("test-day", "Test-day record", (
    _THE_DAY, _PLATE, _ROD, _FIT_UP, _MACHINE, _PASSES, _VISUAL, _COUPONS, _BENDS, _AFTER,
))
CONTINUITY_LOG = Form(
    "continuity", "Continuity log",
    (
        Section(
            "log", "Whose log", "One log for one welder and one process.",
            (
                words("welder", "Welder", "Name or stamp."),
                words("process", "Process", "Such as stick (SMAW). Another process needs a log of its own."),
                taken_from(CONTINUITY, "rule", name="continuity_rule"), taken_from(CONTINUITY, "qualified_on"),
            ),
        ),
        Section(
            "uses", "Uses of the process", "Written on the day you weld.",
            (
                replace(
                    CONTINUITY.input("uses"), default="", help="One row a day of use. Any order will do.", most=200,
                    columns=(
                        *CONTINUITY.input("uses").columns,
                        words("job", "Job", "Job or drawing number, what was welded, who saw it.", 80),
                    ),
                ),
            ),
        ),
    ),
)
RECORDS: tuple[Form, ...] = (TEST_DAY, CONTINUITY_LOG)
"""What is written down; a test is what is declared beforehand."""
FORMS: tuple[Form, ...] = (*RECORDS, PLATE_TEST)


def form_of(kind: str) -> Form:
    """The form of a kind of record. Raises `KeyError`.

    >>> form_of("continuity").title
    'Continuity log'
    """
    for form in FORMS:
        if form.kind == kind:
            return form
    raise KeyError(kind)
