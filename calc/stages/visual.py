"""Looking the weld over before anything is cut: what was measured, against the visual rule chosen by name.

Stage: visual inspection. The rule for a qualification plate and the rule for
production welds are two clauses with different limits; each is data here. Where
we hold no figure for a point the answer says so and never fills one in.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Calculator, Choice, InputError, Level, Option, Quantity, Working
from calc.core.sources import AWS_D11, AWS_D11_2000, Citation, Fact, Standing
from calc.core.units import LENGTH, PERCENTAGE, parse, show_as_written
from calc.show.sliders import CAP, THICKNESS
from calc.stages.fitup import MISMATCH_MOST, MISMATCH_SHARE
from calc.stages.groove import CAP_LIMIT
from calc.stages.visual_drawings import face as draw_face

_TEST = Citation(AWS_D11, "clause 4.9.1", Standing.FROM_MEMORY, "Its metric figures are rounded; the guide goes by the inch.")
_TEST_ROOT = Citation(AWS_D11, "clause 4.9.1", Standing.FROM_MEMORY, "We are not sure of this figure.")
_TABLE = Citation(
    AWS_D11_2000, "Table 6.1", Standing.READ, "Table 8.1 in later editions. Its metric figures are rounded; the guide goes by the inch.",
)
_CYCLIC = Citation(AWS_D11_2000, "Table 6.1, primary members under cyclic load", Standing.SECONDARY)
_TEST_SILENT = Citation(AWS_D11, "clause 4.9.1", Standing.FROM_MEMORY, "We hold no figure for this point.")
_TABLE_SILENT = Citation(AWS_D11_2000, "clause 6 and Table 6.1", Standing.FROM_MEMORY, "We hold no figure for this point.")


def _length(identifier: str, label: str, size: str, source: Citation) -> Fact:
    return Fact(identifier, label, parse(size, LENGTH), LENGTH, source)


def _words(identifier: str, label: str, wording: str, source: Citation) -> Fact:
    return Fact(identifier, label, None, None, source, wording)


THICK = _length("visual-undercut-thick", "Plate thickness from which a production weld may have the deeper undercut", "1 in", _TABLE)
TEST_UNDERCUT = _length("visual-undercut-test", "Deepest undercut, test plate", "1/32 in", _TEST)
TABLE_UNDERCUT = _length("visual-undercut-production", "Deepest undercut of any length, production weld in thin plate", "1/32 in", _TABLE)
TABLE_UNDERCUT_SHORT = _length("visual-undercut-production-short", "Deepest undercut of short length, production weld in thin plate", "1/16 in", _TABLE)
TABLE_SHORT = _length("visual-undercut-short", "Length that counts as short, summed", "2 in", _TABLE)
TABLE_RUN = _length("visual-undercut-run", "Length of weld that the short undercut is summed over", "12 in", _TABLE)
TABLE_UNDERCUT_THICK = _length("visual-undercut-production-thick", "Deepest undercut, production weld in thick plate", "1/16 in", _TABLE)
CYCLIC_UNDERCUT = _length(
    "visual-undercut-cyclic", "Deepest undercut across the stress, primary member under cyclic load", "0.01 in", _CYCLIC,
)
TEST_CRACK = _words("visual-crack-test", "Cracks, test plate", "none", _TEST)
TEST_CRATER = _words("visual-crater-test", "Craters, test plate", "filled to the full cross-section", _TEST)
TEST_FACE = _words("visual-face-test", "Weld face, test plate", "flush with the plate or higher", _TEST)
TEST_ROOT = _words("visual-root-test", "Root, test plate", "no crack, no incomplete fusion, no missing penetration", _TEST)
TEST_CONCAVITY = _length("visual-concavity-test", "Deepest hollow of the root, test plate without backing", "1/16 in", _TEST_ROOT)
TEST_MELT_THROUGH = _length("visual-melt-through-test", "Most melt-through, test plate without backing", "1/8 in", _TEST_ROOT)
TABLE_CRACK = _words("visual-crack-production", "Cracks, production weld", "none, of any size, anywhere", _TABLE)
TABLE_FUSION = _words("visual-fusion-production", "Fusion, production weld", "complete, between passes and to the plate", _TABLE)
TABLE_CRATER = _words("visual-crater-production", "Craters, production weld", "filled to the weld size", _TABLE)

FACTS = (
    TEST_CRACK, TEST_CRATER, TEST_FACE, TEST_UNDERCUT, TEST_ROOT, TEST_CONCAVITY, TEST_MELT_THROUGH, TABLE_CRACK, TABLE_FUSION,
    TABLE_CRATER, THICK, TABLE_UNDERCUT, TABLE_UNDERCUT_SHORT, TABLE_SHORT, TABLE_RUN, TABLE_UNDERCUT_THICK, CYCLIC_UNDERCUT,
)


@dataclass(frozen=True)
class UndercutLimit:
    """How deep an undercut may be: along any length, and (where the rule has one) over a short length."""

    anywhere: Fact
    short: Fact | None = None
    short_length: Fact | None = None

    @property
    def deepest(self) -> Fact:
        """The deepest undercut that is allowed at all: over a short length where the rule has such a figure, else anywhere."""
        return self.short or self.anywhere


@dataclass(frozen=True)
class VisualRule:
    """A visual rule: its name, where its words stand, and the source for a point it has no figure of ours for."""

    id: str
    name: str
    crack: Fact
    crater: Fact
    root: Fact
    face: Fact | None
    reinforcement: Fact | None
    concavity: Fact | None
    melt_through: Fact | None
    silent: Citation


RULES: tuple[VisualRule, ...] = (
    VisualRule(
        "test-plate", "the test-plate rule", TEST_CRACK, TEST_CRATER, TEST_ROOT, TEST_FACE, CAP_LIMIT, TEST_CONCAVITY,
        TEST_MELT_THROUGH, _TEST_SILENT,
    ),
    VisualRule("production", "the production rule", TABLE_CRACK, TABLE_CRATER, TABLE_FUSION, None, None, None, None, _TABLE_SILENT),
    VisualRule(
        "production-cyclic", "the production rule for cyclic load", TABLE_CRACK, TABLE_CRATER, TABLE_FUSION, None, None, None, None,
        _TABLE_SILENT,
    ),
)


def undercut_limit(rule: str, thickness: Fraction) -> UndercutLimit:
    """The undercut limit of a rule for a plate thickness (m). A production plate of exactly 1 in counts as thick.

    Raises `KeyError` for a rule there is not. Source: AWS D1.1, clause 4.9.1 (from memory) and Table 6.1 (read).

    >>> undercut_limit("test-plate", parse("3/8 in", LENGTH)).deepest.id
    'visual-undercut-test'
    >>> undercut_limit("production", parse("1 in", LENGTH)).anywhere.id
    'visual-undercut-production-thick'
    """
    if rule == "test-plate":
        return UndercutLimit(TEST_UNDERCUT)
    if rule == "production-cyclic":
        return UndercutLimit(CYCLIC_UNDERCUT)
    if rule != "production":
        raise KeyError(rule)
    if thickness >= THICK.amount:
        return UndercutLimit(TABLE_UNDERCUT_THICK)
    return UndercutLimit(TABLE_UNDERCUT, TABLE_UNDERCUT_SHORT, TABLE_SHORT)


def judge_undercut(limit: UndercutLimit, depth: Fraction, length: Fraction | None) -> Level:
    """An undercut of this depth (m), and this length (m) in any 12 in where known, against a limit.

    `Level.CAUTION` means that the length decides and was not given.

    >>> thin = undercut_limit("production", parse("3/8 in", LENGTH))
    >>> deep = parse("3/64 in", LENGTH)
    >>> judge_undercut(thin, deep, parse("2 in", LENGTH)).value, judge_undercut(thin, deep, parse("2-1/8 in", LENGTH)).value
    ('ok', 'stop')
    """
    if depth <= limit.anywhere.amount:
        return Level.OK
    if limit.short is None or depth > limit.short.amount:
        return Level.STOP
    if length is None:
        return Level.CAUTION
    return Level.OK if length <= limit.short_length.amount else Level.STOP


NONE_FOUND = "none found"
_IN_WORDS = {Level.OK: "within the rule", Level.CAUTION: "no figure held: ask", Level.STOP: "breaks the rule"}


class _Sheet:
    """The points looked at, in the order they are judged, with the rule they are judged by."""

    def __init__(self, w: Working, rule: VisualRule) -> None:
        self.w = w
        self.rule = rule
        self.found: dict[str, Level] = {}

    def point(self, name: str, label: str, level: Level, text: str, source: Citation, *, wording: str = "") -> None:
        self.found[label] = level
        self.w.words(name, label, wording or _IN_WORDS[level], source=source)
        self.w.check(level, name.removesuffix("_verdict").replace("_", "-"), text, source=source)

    def silent(self, name: str, label: str, text: str) -> None:
        self.point(name, label, Level.CAUTION, f"{text} We hold no figure for it in {self.rule.name}; ask your inspector.", self.rule.silent)

    def clean(self, name: str, label: str, text: str, source: Citation | None = None) -> None:
        self.point(name, label, Level.OK, text, source or self.rule.silent, wording=NONE_FOUND)

    def labels(self, level: Level) -> str:
        return ", ".join(label.lower() for label, each in self.found.items() if each is level)


def _work(
    w: Working, *, rule: str, thickness: Fraction, cracks: str, craters: str, fusion: str, undercut_depth: Fraction,
    undercut_length: Fraction | None, reinforcement: Fraction, underfill: Fraction, porosity: str, mismatch: Fraction, root: str,
    root_flaw: str, concavity: Fraction, melt_through: Fraction,
) -> None:
    if root == "backing" and concavity > 0:
        raise InputError(
            "concavity", "Hollow of the root",
            "with the backing on, the root cannot be seen or measured; write 0 in (0 mm), or choose without backing",
        )
    chosen = next(each for each in RULES if each.id == rule)
    sheet = _Sheet(w, chosen)
    _cracks_craters_fusion(sheet, cracks, craters, fusion)
    _undercut(sheet, thickness, undercut_depth, undercut_length)
    _face(sheet, underfill, reinforcement)
    _porosity(sheet, porosity)
    _mismatch(sheet, thickness, mismatch)
    _root(sheet, root, root_flaw, concavity, melt_through)
    _verdict(sheet)
    w.draw(draw_face(w))
    w.warn("The plate may still be hot, and edges and slag are sharp. Let it cool in air, wear gloves, and keep eye protection on.")
    w.warn(
        "This is study help, not a certification; the verdict belongs to a qualified inspector and the code your test is held under."
    )
    w.warn("Do not grind, fill or touch up a test plate to pass this look unless the rule and the examiner allow it.")


def _cracks_craters_fusion(sheet: _Sheet, cracks: str, craters: str, fusion: str) -> None:
    rule = sheet.rule
    if cracks == "yes":
        sheet.point("cracks_verdict", "Cracks", Level.STOP, "A crack was found. No crack is allowed, of any size.", rule.crack.source)
    else:
        sheet.clean("cracks_verdict", "Cracks", "No crack was found. None would be allowed.", rule.crack.source)
    if craters == "yes":
        sheet.point("craters_verdict", "Craters", Level.OK, "Every crater is filled, as it must be.", rule.crater.source)
    else:
        sheet.point("craters_verdict", "Craters", Level.STOP, "A crater is not filled. Every crater must be, to the size of the weld.", rule.crater.source)
    # Our text of the test-plate clause names fusion at the root only; the table asks it of the whole weld.
    if fusion == "yes":
        sheet.point("fusion_verdict", "Incomplete fusion", Level.STOP, "Incomplete fusion was seen. The weld must be joined throughout.", TABLE_FUSION.source)
    else:
        sheet.clean("fusion_verdict", "Incomplete fusion", "No incomplete fusion was seen. None would be allowed.", TABLE_FUSION.source)


def _undercut(sheet: _Sheet, thickness: Fraction, depth: Fraction, length: Fraction | None) -> None:
    w, rule = sheet.w, sheet.rule
    u = w.given("undercut_depth", "u", depth, LENGTH)
    limit = undercut_limit(rule.id, thickness)
    level = judge_undercut(limit, depth, length)
    if level is Level.CAUTION:
        most = show_as_written(limit.anywhere.amount, LENGTH, "us"), show_as_written(limit.anywhere.amount, LENGTH, "si")
        raise InputError(
            "undercut_length", "Length of the undercut",
            f"deeper than {most[0]} ({most[1]}), its length decides; write how much of it there is in any 12 in (304.8 mm) of weld",
        )
    if length is not None:
        w.given("undercut_length", "L_u", length, LENGTH)
    most = w.value("undercut_limit", "Deepest undercut allowed at all", limit.deepest.amount, LENGTH, source=limit.deepest.source, symbol="u_max", main=True, as_fraction=True)
    w.let("undercut_left", "Room left under the undercut limit", "Δu", LENGTH, most - u, source=limit.deepest.source, as_fraction=True)
    sheet.point("undercut_verdict", "Undercut", level, _undercut_text(w, limit, depth, level), limit.deepest.source)
    for other in RULES:
        if other is not rule:
            _other_undercut(w, other, thickness, depth, length)


def _undercut_text(w: Working, limit: UndercutLimit, depth: Fraction, level: Level) -> str:
    w.mention("anywhere", limit.anywhere)
    if depth <= limit.anywhere.amount:
        return "Undercut of {undercut_depth} is not over the {anywhere} allowed along any length." if depth else "No undercut was measured; {anywhere} would be allowed."
    if limit.short is None or depth > limit.short.amount:
        return "Undercut of {undercut_depth} is over the {undercut_limit} allowed."
    w.mention("short_length", limit.short_length)
    w.mention("run", TABLE_RUN)
    side = "not over" if level is Level.OK else "over"
    return (
        "Undercut of {undercut_depth} is over {anywhere} and not over {undercut_limit}, so its length counts: {undercut_length} in "
        f"any {{run}} of weld is {side} the {{short_length}} allowed."
    )


def _other_undercut(w: Working, other: VisualRule, thickness: Fraction, depth: Fraction, length: Fraction | None) -> None:
    limit = undercut_limit(other.id, thickness)
    level = judge_undercut(limit, depth, length)
    wording = "its length decides" if level is Level.CAUTION else _IN_WORDS[level]
    w.words(f"undercut_by_{other.id.replace('-', '_')}", f"The same undercut by {other.name}", wording, source=limit.deepest.source, main=bool(depth))


def _face(sheet: _Sheet, underfill: Fraction, reinforcement: Fraction) -> None:
    w, rule = sheet.w, sheet.rule
    w.given("underfill", "d_u", underfill, LENGTH)
    if not underfill:
        sheet.clean("underfill_verdict", "Underfill", "The face is nowhere below the plate.", rule.face.source if rule.face else None)
    elif rule.face:
        sheet.point("underfill_verdict", "Underfill", Level.STOP, "The face lies {underfill} below the plate; it must be flush or higher.", rule.face.source)
    else:
        sheet.silent("underfill_verdict", "Underfill", "The face lies {underfill} below the plate.")
    h = w.given("reinforcement", "h", reinforcement, LENGTH)
    w.mention("cap_limit", CAP_LIMIT)
    if rule.reinforcement is None:
        _silent_reinforcement(sheet, reinforcement)
        return
    most = w.value("reinforcement_limit", "Most reinforcement allowed", rule.reinforcement.amount, LENGTH, source=rule.reinforcement.source, symbol="h_max", main=True, as_fraction=True)
    w.let("reinforcement_left", "Room left under the reinforcement limit", "Δh", LENGTH, most - h, source=rule.reinforcement.source, as_fraction=True)
    over = reinforcement > rule.reinforcement.amount
    text = "Reinforcement of {reinforcement} is over the {cap_limit} allowed." if over else "Reinforcement of {reinforcement} is not over the {cap_limit} allowed."
    sheet.point("reinforcement_verdict", "Reinforcement", Level.STOP if over else Level.OK, text, rule.reinforcement.source)


def _silent_reinforcement(sheet: _Sheet, reinforcement: Fraction) -> None:
    if reinforcement:
        sheet.silent("reinforcement_verdict", "Reinforcement", "Reinforcement of {reinforcement}; on a test plate {cap_limit} is the limit.")
    else:
        sheet.clean("reinforcement_verdict", "Reinforcement", "The face does not stand above the plate.")


def _porosity(sheet: _Sheet, porosity: str) -> None:
    """Neither text of ours gives a figure: clean is clean, anything else goes to the inspector."""
    if porosity == "yes":
        sheet.silent("porosity_verdict", "Porosity", "Porosity was seen at the surface.")
    else:
        sheet.clean("porosity_verdict", "Porosity", "No porosity was seen at the surface.")


def _mismatch(sheet: _Sheet, thickness: Fraction, mismatch: Fraction) -> None:
    """The rule for production joints limits it; for a test plate we hold no figure, so that limit is only named."""
    w = sheet.w
    e = w.given("mismatch", "e", mismatch, LENGTH)
    share = w.given("mismatch_share", "n", MISMATCH_SHARE.amount, PERCENTAGE)
    t = w.given("thickness", "t", thickness, LENGTH)
    by_share = w.let("mismatch_by_share", "Mismatch by share of the thickness", "e_share", LENGTH, share * t / 100, source=MISMATCH_SHARE.source, as_fraction=True)
    most = w.value(
        "mismatch_limit", "Most mismatch, production joint", min(by_share.amount, MISMATCH_MOST.amount), LENGTH, source=MISMATCH_SHARE.source,
        symbol="e_max", as_fraction=True,
    )
    if not mismatch:
        sheet.clean("mismatch_verdict", "Mismatch", "The plates are level with each other.")
    elif sheet.rule.id == "test-plate":
        side = "over" if mismatch > most.amount else "not over"
        sheet.silent("mismatch_verdict", "Mismatch", f"One plate stands {{mismatch}} above the other, {side} the {{mismatch_limit}} of a production joint.")
    else:
        w.let("mismatch_left", "Room left under the mismatch limit", "Δe", LENGTH, most - e, source=MISMATCH_SHARE.source, as_fraction=True)
        over = mismatch > most.amount
        text = f"One plate stands {{mismatch}} above the other, {'over' if over else 'not over'} the {{mismatch_limit}} allowed."
        sheet.point("mismatch_verdict", "Mismatch", Level.STOP if over else Level.OK, text, MISMATCH_SHARE.source)


def _root(sheet: _Sheet, root: str, root_flaw: str, concavity: Fraction, melt_through: Fraction) -> None:
    rule = sheet.rule
    if root_flaw == "yes":
        text = "A crack, incomplete fusion or missing penetration was seen at the root. None is allowed."
        sheet.point("root_verdict", "Root", Level.STOP, text, rule.root.source)
    elif root == "backing":
        text = "No flaw was seen at the root, but the backing hides it: only the bend or another test shows it."
        sheet.point("root_verdict", "Root", Level.OK, text, rule.root.source, wording="hidden by the backing")
    else:
        sheet.clean("root_verdict", "Root", "No flaw was seen at the root.", rule.root.source)
    if root == "open":
        _measured_at_root(sheet, "concavity", "Hollow of the root", "The root is hollow by", concavity, rule.concavity)
        _measured_at_root(sheet, "melt_through", "Melt-through", "Metal hangs through by", melt_through, rule.melt_through)
    elif melt_through:
        sheet.w.given("melt_through", "g", melt_through, LENGTH)
        sheet.silent("melt_through_verdict", "Melt-through", "The arc went through the backing; metal hangs {melt_through} below it.")


def _measured_at_root(sheet: _Sheet, name: str, label: str, opening: str, measured: Fraction, limit: Fact | None) -> None:
    w = sheet.w
    w.given(name, name, measured, LENGTH)
    if limit is None:
        if measured:
            sheet.silent(f"{name}_verdict", label, f"{opening} {{{name}}}.")
        else:
            sheet.clean(f"{name}_verdict", label, f"{label}: none measured.")
        return
    w.value(f"{name}_limit", f"{label}, most allowed without backing", limit.amount, LENGTH, source=limit.source, as_fraction=True)
    over = measured > limit.amount
    side = "over" if over else "not over"
    sheet.point(
        f"{name}_verdict", label, Level.STOP if over else Level.OK, f"{opening} {{{name}}}, {side} the {{{name}_limit}} allowed.", limit.source,
    )


def _verdict(sheet: _Sheet) -> None:
    w, rule = sheet.w, sheet.rule
    broken, open_points = sheet.labels(Level.STOP), sheet.labels(Level.CAUTION)
    if broken:
        wording = f"Stop: {rule.name} is broken at {broken}"
    elif open_points:
        wording = f"Ask: nothing we hold of {rule.name} is broken; no figure held for {open_points}"
    else:
        wording = f"Nothing we hold of {rule.name} is broken"
    w.words("verdict", "By what you found", wording, source=rule.crack.source, main=True)
    w.say(f"{wording}. This is study help, not a certification; the verdict belongs to a qualified inspector.")


_NO_YES = (Option("no", "No"), Option("yes", "Yes"))

VISUAL_CHECK = Calculator(
    id="visual-check",
    title="Visual check before cutting",
    question="Would what I see and measure stop this plate before it is cut?",
    page="visual.md",
    work=_work,
    inputs=(
        Choice(
            "rule", "Rule", (
                Option("test-plate", "Test plate (AWS D1.1, clause 4.9.1, from memory)"),
                Option("production", "Production weld (AWS D1.1, Table 6.1)"),
                Option("production-cyclic", "Production, cyclic load, across the stress (Table 6.1)"),
            ), "test-plate", "Which rule the weld is looked at by. Your plate test goes by the first.",
        ),
        Quantity("thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "3 in", "Measured.", "t", common=("3/8 in", "1 in"), slide=THICKNESS),
        Choice("cracks", "Any crack", _NO_YES, "no", "Along or across the weld, in a crater, at a toe."),
        Choice("craters", "Craters all filled", _NO_YES, "yes", "Every stop and the end of every pass you can see."),
        Choice("fusion", "Any incomplete fusion", _NO_YES, "no", "Metal lying on the plate without melting into it; overlap counts here."),
        Quantity("undercut_depth", "Undercut, deepest", LENGTH, "0 in", "0 in", "1/2 in", "At its deepest point, along both toes.", "u", common=("1/64 in", "1/32 in")),
        Quantity(
            "undercut_length", "Undercut, length", LENGTH, "", "0 in", "12 in",
            "Of all undercut deeper than the first limit, summed within any 12 in of weld. Only the production rule asks for it.", "L_u", True,
        ),
        Quantity("underfill", "Face below the plate", LENGTH, "0 in", "0 in", "1/2 in", "At its lowest point. 0 where the face is flush or higher.", "d_u"),
        Quantity(
            "reinforcement", "Reinforcement", LENGTH, "1/16 in", "0 in", "1 in",
            "Height of the face above the plate, at the highest point.", "h", common=("1/16 in", "1/8 in"), slide=CAP,
        ),
        Choice("porosity", "Porosity at the surface", _NO_YES, "no", "Any open pore, with the slag off."),
        Quantity("mismatch", "Mismatch of the plates", LENGTH, "0 in", "0 in", "1 in", "How far one surface stands above the other.", "e"),
        Choice("root", "Root", (Option("backing", "On steel backing"), Option("open", "Without backing")), "backing", "How the joint was welded."),
        Choice("root_flaw", "Any flaw at the root", _NO_YES, "no", "A crack, incomplete fusion or missing penetration."),
        Quantity("concavity", "Hollow of the root", LENGTH, "0 in", "0 in", "1/2 in", "Without backing only.", "c"),
        Quantity(
            "melt_through", "Melt-through", LENGTH, "0 in", "0 in", "1 in",
            "How far metal hangs below the root, or below the backing if the arc went through it.", "g",
        ),
    ),
)
