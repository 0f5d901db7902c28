"""Looking the weld over before anything is cut: what was measured, against the visual rule chosen by name.

Stage: visual inspection. The rule for a qualification plate and the rule for
production welds are two clauses with different limits; each is data here. Where
we hold no figure for a point the answer says so and never fills one in.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import NOT_LOOKED_AT, Calculator, Choice, InputError, Level, Option, Quantity, Working
from calc.core.sources import (
    AWS_D11,
    AWS_D11_2000,
    AWS_D11_2010,
    AWS_D11_BEFORE_2015,
    Citation,
    Fact,
    Standing,
    length_fact,
)
from calc.core.units import LENGTH, PERCENTAGE, parse
from calc.show.sliders import CAP, THICKNESS
from calc.stages.fitup import MISMATCH_MOST, MISMATCH_SHARE
from calc.stages.joint import CAP_LIMIT
from calc.stages.visual_drawings import face as draw_face

_REPRODUCED = "Read in a reproduction of the page."
_ROUNDED = "Its metric figures are rounded; the guide goes by the inch."
_TEST = Citation(
    AWS_D11_BEFORE_2015, "visual inspection of a test plate", Standing.READ, f"{_REPRODUCED} Clause 4.9.1 in 2015.",
)
_TEST_FACE = Citation(
    AWS_D11_2000, "clause 4.8.1, quoted in a discussion", Standing.SECONDARY, "Clause 4.9.1 in the 2015 edition.",
)
_TEST_UNDERCUT = Citation(AWS_D11, "clause 4.9.1(5)", Standing.READ, f"{_REPRODUCED} {_ROUNDED}")
_TEST_ROOT = Citation(AWS_D11, "clause 4.9.1", Standing.FROM_MEMORY)
_TEST_ROOT_SIZES = Citation(AWS_D11, "clause 4.9.1", Standing.FROM_MEMORY, "We are not sure of this figure.")
_TABLE = Citation(AWS_D11, "Table 6.1", Standing.READ, f"{_REPRODUCED} The same in Table 8.1 of 2020. {_ROUNDED}")
_TABLE_PORES = Citation(AWS_D11, "Table 6.1", Standing.FROM_MEMORY, "Held for a groove weld across the tension.")
_PROFILE = Citation(AWS_D11_2010, "clause 5.24.3", Standing.FROM_MEMORY, "Later editions have a table in its place.")
_TEST_SILENT = Citation(
    AWS_D11, "clause 4.9.1", Standing.FROM_MEMORY, "As we hold it, its list does not name this point.",
)
_TABLE_SILENT = Citation(AWS_D11, "clause 6 and Table 6.1", Standing.FROM_MEMORY, "We hold no figure for this point.")


def _words(identifier: str, label: str, wording: str, source: Citation) -> Fact:
    return Fact(identifier, label, None, None, source, wording)


THICK = length_fact(
    "visual-undercut-thick", "Plate thickness from which a production weld may have the deeper undercut", "1 in",
    _TABLE,
)
TEST_UNDERCUT = length_fact("visual-undercut-test", "Deepest undercut, test plate", "1/32 in", _TEST_UNDERCUT)
TABLE_UNDERCUT = length_fact(
    "visual-undercut-production", "Maximum undercut of any length, production weld in thin plate", "1/32 in", _TABLE,
)
TABLE_UNDERCUT_SHORT = length_fact(
    "visual-undercut-production-short", "Maximum undercut of short length, production weld in thin plate", "1/16 in",
    _TABLE,
)
TABLE_SHORT = length_fact("visual-undercut-short", "Length of undercut that counts as short, added up", "2 in", _TABLE)
TABLE_RUN = length_fact("visual-undercut-run", "Length of weld over which short undercut is added up", "12 in", _TABLE)
TABLE_UNDERCUT_THICK = length_fact(
    "visual-undercut-production-thick", "Maximum undercut, production weld in thick plate", "1/16 in", _TABLE,
)
CYCLIC_UNDERCUT = length_fact(
    "visual-undercut-cyclic", "Maximum undercut across the stress, primary member under cyclic load", "0.01 in", _TABLE,
)
TEST_CRACK = _words("visual-crack-test", "Cracks, test plate", "none", _TEST)
TEST_CRATER = _words("visual-crater-test", "Craters, test plate", "filled to the full cross-section", _TEST)
TEST_FACE = _words("visual-face-test", "Weld face, test plate", "flush with the plate or higher", _TEST_FACE)
TEST_ROOT = _words(
    "visual-root-test", "Root, test plate", "no crack, no incomplete fusion, no incomplete joint penetration",
    _TEST_ROOT,
)
TEST_CONCAVITY = length_fact(
    "visual-concavity-test", "Maximum root concavity, test plate without backing", "1/16 in", _TEST_ROOT_SIZES,
)
TEST_MELT_THROUGH = length_fact(
    "visual-melt-through-test", "Maximum melt-through, test plate without backing", "1/8 in", _TEST_ROOT_SIZES,
)
TABLE_CRACK = _words("visual-crack-production", "Cracks, production weld", "none, of any size, anywhere", _TABLE)
TABLE_FUSION = _words(
    "visual-fusion-production", "Fusion, production weld", "complete, between passes and to the plate", _TABLE,
)
TABLE_CRATER = _words("visual-crater-production", "Craters, production weld", "filled to the weld size", _TABLE)
TABLE_PORES = _words(
    "visual-porosity-production", "Open pores, production weld", "no piping porosity that can be seen", _TABLE_PORES,
)
TABLE_CAP = length_fact("visual-reinforcement-production", "Maximum reinforcement, production weld", "1/8 in", _PROFILE)

FACTS = (
    TEST_CRACK, TEST_CRATER, TEST_FACE, TEST_UNDERCUT, TEST_ROOT, TEST_CONCAVITY, TEST_MELT_THROUGH, TABLE_CRACK,
    TABLE_FUSION,
    TABLE_CRATER, TABLE_PORES, TABLE_CAP, THICK, TABLE_UNDERCUT, TABLE_UNDERCUT_SHORT, TABLE_SHORT, TABLE_RUN,
    TABLE_UNDERCUT_THICK, CYCLIC_UNDERCUT,
)


@dataclass(frozen=True)
class UndercutLimit:
    """How deep an undercut may be: along any length, and (where the rule has one) over a short length."""

    anywhere: Fact
    short: Fact | None = None
    short_length: Fact | None = None

    @property
    def deepest(self) -> Fact:
        """The deepest undercut that is allowed at all: over a short length where the rule has such a figure, else
        anywhere.
        """
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
    reinforcement: Fact
    concavity: Fact | None
    melt_through: Fact | None
    porosity: Fact | None
    silent: Citation


RULES: tuple[VisualRule, ...] = (
    VisualRule(
        "test-plate", "the test-plate rule", TEST_CRACK, TEST_CRATER, TEST_ROOT, TEST_FACE, CAP_LIMIT, TEST_CONCAVITY,
        TEST_MELT_THROUGH, None, _TEST_SILENT,
    ),
    VisualRule(
        "production", "the production rule", TABLE_CRACK, TABLE_CRATER, TABLE_FUSION, None, TABLE_CAP, None, None,
        TABLE_PORES,
        _TABLE_SILENT,
    ),
    VisualRule(
        "production-cyclic", "the production rule for cyclic load", TABLE_CRACK, TABLE_CRATER, TABLE_FUSION, None,
        TABLE_CAP, None,
        None, TABLE_PORES, _TABLE_SILENT,
    ),
)


def undercut_limit(rule: str, thickness: Fraction) -> UndercutLimit:
    """The undercut limit of a rule for a plate thickness (m). A production plate of exactly 1 in counts as thick.

    Raises `KeyError` for a rule there is not. Source: AWS D1.1:2015, clause 4.9.1(5) and Table 6.1 (both read).

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

    `Level.INCOMPLETE` means that the length decides and was not measured. Exactly at a limit is within it.
    Source: the facts of the limit.

    >>> thin = undercut_limit("production", parse("3/8 in", LENGTH))
    >>> deep = parse("3/64 in", LENGTH)
    >>> [judge_undercut(thin, deep, parse(length, LENGTH)).value for length in ("2 in", "2-1/8 in")]
    ['ok', 'stop']
    """
    if depth <= limit.anywhere.amount:
        return Level.OK
    if limit.short is None or depth > limit.short.amount:
        return Level.STOP
    if length is None:
        return Level.INCOMPLETE
    return Level.OK if length <= limit.short_length.amount else Level.STOP


NONE_FOUND, NOT_LOOKED = "none found", "not inspected yet"
_IN_WORDS = {
    Level.NOTE: "not asked", Level.OK: "within the rule", Level.CAUTION: "not named by the rule: ask",
    Level.NOT_KNOWN: "no figure held: ask", Level.INCOMPLETE: NOT_LOOKED, Level.STOP: "breaks the rule",
}
_OTHER_WORDS = {**_IN_WORDS, Level.INCOMPLETE: "its length decides"}


class _Findings:
    """The points looked at, in the order they are judged, with the rule they are judged by. Each point has one
    check.
    """

    def __init__(self, w: Working, rule: VisualRule) -> None:
        self.w = w
        self.rule = rule
        self.found: dict[str, Level] = {}

    def point(
        self, name: str, label: str, level: Level, text: str, source: Citation, *, wording: str = "", id: str = "",
    ) -> None:
        self.found[label] = level
        self.w.words(name, label, wording or _IN_WORDS[level], source=source)
        self.w.check(level, id or name.removesuffix("_verdict").replace("_", "-"), text, source=source)

    def silent(self, name: str, label: str, text: str) -> None:
        """No figure of ours: what was found goes to the inspector."""
        text = f"{text} We hold no figure for it in {self.rule.name}; ask your inspector."
        self.point(name, label, Level.NOT_KNOWN, text, self.rule.silent)

    def clean(self, name: str, label: str, text: str, source: Citation | None = None) -> None:
        """Looked at, and nothing was found."""
        self.point(name, label, Level.OK, text, source or self.rule.silent, wording=NONE_FOUND)

    def not_looked(self, name: str, label: str, text: str, source: Citation) -> None:
        """Nobody has looked yet: unseen is not clean."""
        self.point(name, label, Level.INCOMPLETE, text, source)

    def over_or_not(self, name: str, label: str, over: bool, text: str, source: Citation) -> None:
        """Measured against a limit; `text` has a hole for the side it lies on."""
        side = "over" if over else "not over"
        self.point(name, label, Level.STOP if over else Level.OK, text.replace("[side]", side), source)

    def labels(self, *levels: Level) -> str:
        """The points that came out so, as a list in words."""
        return ", ".join(label.lower() for label, each in self.found.items() if each in levels)


def work_visual_check(
    w: Working, *, rule: str, thickness: Fraction, cracks: str, craters: str, fusion: str,
    undercut_depth: Fraction | None,
    undercut_length: Fraction | None, reinforcement: Fraction | None, underfill: Fraction | None, porosity: str,
    mismatch: Fraction | None, root: str, root_flaw: str, concavity: Fraction | None, melt_through: Fraction | None,
) -> None:
    """Each point of the look against the visual rule chosen, and the whole. What nobody looked at is not complete.

    Symbols: plate thickness t, undercut depth u and length L_u, reinforcement h, misalignment e, in m. Within the rule:
    u ≤ u_max, or u ≤ the deeper limit while L_u in any 12 in of weld ≤ 2 in (production, t under 1 in); h ≤ h_max;
    e ≤ e_max = min(t / 10, 1/8 in). Valid for groove welds in plate 1/8 to 3 in thick.

    Raises `InputError` for a hollow of the root entered with the backing on, which hides it.
    Source: AWS D1.1, clause 4.9.1 and Table 6.1 of 2015; the standing of each limit stands beside it.

    Undercut of exactly 1/32 in is the most that clause 4.9.1(5) allows:

    >>> VISUAL_CHECK.answer(undercut_depth="1/32 in").check("undercut").level.value
    'ok'
    >>> VISUAL_CHECK.answer(undercut_depth="0.032 in").check("undercut").level.value
    'stop'
    >>> VISUAL_CHECK.answer().check("cracks").level.value
    'incomplete'
    """
    if root == "backing" and concavity:
        raise InputError(
            "concavity", "Root concavity",
            "with the backing on, the root cannot be seen or measured; write 0 in (0 mm), or choose without backing",
        )
    chosen = next(each for each in RULES if each.id == rule)
    findings = _Findings(w, chosen)
    _cracks_craters_fusion(findings, cracks, craters, fusion)
    _undercut(findings, thickness, undercut_depth, undercut_length)
    _underfill(findings, underfill)
    _reinforcement(findings, reinforcement)
    _porosity(findings, porosity)
    _mismatch(findings, thickness, mismatch)
    _root(findings, root, root_flaw, concavity, melt_through)
    _verdict(findings)
    w.draw(draw_face(w))
    w.warn(
        "The plate may still be hot, and edges and slag are sharp. Let it cool in air, wear gloves, and keep eye "
        "protection on.",
    )
    w.warn(
        "This is study help, not a certification; the verdict belongs to a qualified inspector and the code your test "
        "is held under."
    )
    w.warn(
        "Do not grind, fill or touch up a test plate to pass this inspection unless the rule and the examiner allow it."
    )


def _cracks_craters_fusion(findings: _Findings, cracks: str, craters: str, fusion: str) -> None:
    rule = findings.rule
    name, label, source = "cracks_verdict", "Cracks", rule.crack.source
    if cracks == "yes":
        findings.point(name, label, Level.STOP, "A crack was found. No crack is allowed, of any size.", source)
    elif cracks == "no":
        findings.clean(name, label, "No crack was found. None would be allowed.", source)
    else:
        findings.not_looked(
            name, label, "Cracks: inspect the whole weld with low light and a magnifying glass.", source,
        )
    name, label, source = "craters_verdict", "Craters", rule.crater.source
    if craters == "yes":
        findings.point(name, label, Level.OK, "Every crater is filled, as it must be.", source)
    elif craters == "no":
        text = "A crater is not filled. Every crater must be, to the size of the weld."
        findings.point(name, label, Level.STOP, text, source)
    else:
        findings.not_looked(name, label, "Craters: inspect every stop, and check it with a pencil point.", source)
    # Our text of the test-plate clause names fusion at the root only; the table asks it of the whole weld.
    name, label, source = "fusion_verdict", "Incomplete fusion", TABLE_FUSION.source
    if fusion == "yes":
        text = "Incomplete fusion was seen. Fusion must be complete."
        findings.point(name, label, Level.STOP, text, source)
    elif fusion == "no":
        findings.clean(name, label, "No incomplete fusion was seen. None would be allowed.", source)
    else:
        findings.not_looked(name, label, "Incomplete fusion: inspect both toes and the weld face.", source)


def _undercut(findings: _Findings, thickness: Fraction, depth: Fraction | None, length: Fraction | None) -> None:
    w, rule = findings.w, findings.rule
    limit = undercut_limit(rule.id, thickness)
    source = limit.deepest.source
    most = w.value(
        "undercut_limit", "Maximum undercut allowed", limit.deepest.amount, LENGTH, source=source,
        symbol="u_max", main=True,
        as_fraction=True,
    )
    w.mention("anywhere", limit.anywhere)
    if depth is None:
        findings.not_looked(
            "undercut_verdict", "Undercut", "Undercut: measure the deepest, along both toes; 0 where there is none.",
            source,
        )
    else:
        u = w.given("undercut_depth", "u", depth, LENGTH)
        w.let(
            "undercut_left", "Room left under the undercut limit", "Δu", LENGTH, most - u, source=source,
            as_fraction=True,
        )
        if length is not None:
            w.given("undercut_length", "L_u", length, LENGTH)
        level = judge_undercut(limit, depth, length)
        by_length = limit.short is not None and limit.anywhere.amount < depth <= limit.short.amount
        findings.point(
            "undercut_verdict", "Undercut", level, _undercut_text(w, limit, depth, level), source,
            wording=_OTHER_WORDS[level], id="undercut-length" if by_length else "",
        )
    for other in RULES:
        if other is not rule:
            _other_undercut(w, other, thickness, depth, length)


def _undercut_text(w: Working, limit: UndercutLimit, depth: Fraction, level: Level) -> str:
    if depth <= limit.anywhere.amount:
        if depth:
            return "Undercut of {undercut_depth} is not over the {anywhere} allowed along any length."
        return "No undercut was measured; {anywhere} would be allowed."
    if limit.short is None or depth > limit.short.amount:
        return "Undercut of {undercut_depth} is over the {undercut_limit} allowed."
    w.mention("short_length", limit.short_length)
    w.mention("run", TABLE_RUN)
    between = "Undercut of {undercut_depth} is over {anywhere} and not over {undercut_limit}, so its length counts: "
    if level is Level.INCOMPLETE:
        return between + "measure how much of it there is in any {run} of weld; {short_length} would be allowed."
    side = "not over" if level is Level.OK else "over"
    return between + f"{{undercut_length}} in any {{run}} of weld is {side} the {{short_length}} allowed."


def _other_undercut(
    w: Working, other: VisualRule, thickness: Fraction, depth: Fraction | None, length: Fraction | None,
) -> None:
    limit = undercut_limit(other.id, thickness)
    wording = NOT_LOOKED if depth is None else _OTHER_WORDS[judge_undercut(limit, depth, length)]
    name = f"undercut_by_{other.id.replace('-', '_')}"
    w.words(name, f"The same undercut by {other.name}", wording, source=limit.deepest.source, main=bool(depth))


def _underfill(findings: _Findings, underfill: Fraction | None) -> None:
    rule, name, label = findings.rule, "underfill_verdict", "Underfill"
    source = rule.face.source if rule.face else rule.silent
    if underfill is None:
        findings.not_looked(
            name, label, "Underfill: lay a straightedge across, and measure at the lowest place; 0 where flush.",
            source,
        )
        return
    findings.w.given("underfill", "d_u", underfill, LENGTH)
    if not underfill:
        findings.clean(name, label, "The weld face is nowhere below the plate.", source)
    elif rule.face:
        text = "The weld face lies {underfill} below the plate; it must be flush or higher."
        findings.point(name, label, Level.STOP, text, source)
    else:
        findings.silent(name, label, "The weld face lies {underfill} below the plate.")


def _reinforcement(findings: _Findings, height: Fraction | None) -> None:
    w, limit = findings.w, findings.rule.reinforcement
    source = limit.source
    most = w.value(
        "reinforcement_limit", "Maximum reinforcement allowed", limit.amount, LENGTH, source=source, symbol="h_max",
        main=True,
        as_fraction=True,
    )
    name, label = "reinforcement_verdict", "Reinforcement"
    if height is None:
        findings.not_looked(
            name, label,
            "Reinforcement: measure the weld face at its highest point; {reinforcement_limit} is the limit.", source,
        )
        return
    h = w.given("reinforcement", "h", height, LENGTH)
    w.let(
        "reinforcement_left", "Room left under the reinforcement limit", "Δh", LENGTH, most - h, source=source,
        as_fraction=True,
    )
    text = "Reinforcement of {reinforcement} is [side] the {reinforcement_limit} allowed."
    findings.over_or_not(name, label, height > limit.amount, text, source)


def _porosity(findings: _Findings, porosity: str) -> None:
    """The table allows no piping porosity that can be seen; the list for a test plate, as we hold it, names none."""
    name, label, limit = "porosity_verdict", "Porosity", findings.rule.porosity
    source = limit.source if limit else findings.rule.silent
    if porosity == "yes" and limit:
        text = (
            "Porosity was seen at the surface. No pore that can be seen is allowed in a groove weld across the "
            "tension."
        )
        findings.point(name, label, Level.STOP, text, source)
    elif porosity == "yes":
        text = (
            "Porosity was seen at the surface. The list for a test plate, as we hold it, does not name it; the "
            "inspector decides."
        )
        findings.point(name, label, Level.CAUTION, text, source)
    elif porosity == "no":
        findings.clean(name, label, "No porosity was seen at the surface.", source)
    else:
        findings.not_looked(name, label, "Porosity: inspect the weld face with the slag off.", source)


def _mismatch(findings: _Findings, thickness: Fraction, mismatch: Fraction | None) -> None:
    """The alignment rule of the code holds for the joint of a test plate too: a tenth of the plate, and a fixed
    limit.
    """
    w, source, name, label = findings.w, MISMATCH_SHARE.source, "mismatch_verdict", "Misalignment"
    share = w.given("mismatch_share", "n", MISMATCH_SHARE.amount, PERCENTAGE)
    t = w.given("thickness", "t", thickness, LENGTH)
    by_share = w.let(
        "mismatch_by_share", "Misalignment by share of the thickness", "e_share", LENGTH, share * t / 100,
        source=source,
        as_fraction=True,
    )
    most = w.value(
        "mismatch_limit", "Maximum misalignment of a joint", min(by_share.amount, MISMATCH_MOST.amount), LENGTH,
        source=source,
        symbol="e_max", as_fraction=True,
    )
    if mismatch is None:
        findings.not_looked(
            name, label, "Misalignment: measure how far one plate stands above the other; 0 where they are level.",
            source,
        )
        return
    e = w.given("mismatch", "e", mismatch, LENGTH)
    if not mismatch:
        findings.clean(name, label, "The plates are level with each other.", source)
        return
    w.let(
        "mismatch_left", "Room left under the misalignment limit", "Δe", LENGTH, most - e, source=source,
        as_fraction=True,
    )
    text = "One plate stands {mismatch} above the other, [side] the {mismatch_limit} allowed."
    findings.over_or_not(name, label, mismatch > most.amount, text, source)


def _root(
    findings: _Findings, root: str, root_flaw: str, concavity: Fraction | None, melt_through: Fraction | None,
) -> None:
    rule, name, label = findings.rule, "root_verdict", "Root"
    if root_flaw == "yes":
        text = "A crack, incomplete fusion or incomplete joint penetration was seen at the root. None is allowed."
        findings.point(name, label, Level.STOP, text, rule.root.source)
    elif root_flaw != "no":
        findings.not_looked(
            name, label, "Root: turn the plate over, and inspect the root from end to end.", rule.root.source,
        )
    elif root == "backing":
        text = (
            "No discontinuity was seen at the root, but the backing hides it: only the bend or another test shows it."
        )
        findings.point(name, label, Level.OK, text, rule.root.source, wording="hidden by the backing")
    else:
        findings.clean(name, label, "No discontinuity was seen at the root.", rule.root.source)
    if root == "open":
        _measured_at_root(
            findings, "concavity", "Root concavity", "The root is concave by", concavity, rule.concavity,
        )
        _measured_at_root(
            findings, "melt_through", "Melt-through", "Melt-through is", melt_through, rule.melt_through,
        )
    else:
        _through_backing(findings, melt_through)


def _measured_at_root(
    findings: _Findings, name: str, label: str, opening: str, measured: Fraction | None, limit: Fact | None,
) -> None:
    w = findings.w
    if limit is not None:
        w.value(
            f"{name}_limit", f"{label}, maximum allowed without backing", limit.amount, LENGTH, source=limit.source,
            as_fraction=True,
        )
    source = limit.source if limit else findings.rule.silent
    if measured is None:
        findings.not_looked(
            f"{name}_verdict", label, f"{label}: measure it where it is largest; 0 where there is none.", source,
        )
        return
    w.given(name, name, measured, LENGTH)
    if limit is not None:
        text = f"{opening} {{{name}}}, [side] the {{{name}_limit}} allowed."
        findings.over_or_not(f"{name}_verdict", label, measured > limit.amount, text, source)
    elif measured:
        findings.silent(f"{name}_verdict", label, f"{opening} {{{name}}}.")
    else:
        findings.clean(f"{name}_verdict", label, f"{label}: none measured.")


def _through_backing(findings: _Findings, melt_through: Fraction | None) -> None:
    """Melt-through with the backing on: no limit of its own is held, and the one without backing is no kinder."""
    name, label, limit = "melt_through_verdict", "Melt-through", TEST_MELT_THROUGH
    w = findings.w
    if melt_through is None:
        w.note(
            "melt-through", "Look below the backing too: metal hanging under it means that the arc went through.",
            source=limit.source,
        )
        return
    w.given("melt_through", "g", melt_through, LENGTH)
    w.mention("melt_through_limit", limit)
    if not melt_through:
        findings.clean(name, label, "No metal hangs below the backing.", limit.source)
    elif melt_through > limit.amount:
        text = (
            "The arc went through the backing; metal hangs {melt_through} below it, over the {melt_through_limit} of a "
            "root without one."
        )
        findings.point(name, label, Level.STOP, text, limit.source)
    else:
        findings.silent(name, label, "The arc went through the backing; metal hangs {melt_through} below it.")


def _verdict(findings: _Findings) -> None:
    w, rule = findings.w, findings.rule
    broken, waiting = findings.labels(Level.STOP), findings.labels(Level.INCOMPLETE)
    open_points = findings.labels(Level.CAUTION, Level.NOT_KNOWN)
    if broken:
        wording = f"Stop: {rule.name} is broken at {broken}"
    elif waiting:
        wording = f"Not complete: still to be inspected or measured: {waiting}"
    elif open_points:
        wording = f"Ask: nothing we hold of {rule.name} is broken; your inspector decides on {open_points}"
    else:
        wording = f"Nothing we hold of {rule.name} is broken"
    w.words("verdict", "By what you found", wording, source=rule.crack.source, main=True)
    w.say(f"{wording}. This is study help, not a certification; the verdict belongs to a qualified inspector.")


_NO_YES = (NOT_LOOKED_AT, Option("no", "No"), Option("yes", "Yes"))
_UNSEEN = NOT_LOOKED_AT.value

VISUAL_CHECK = Calculator(
    id="visual-check",
    title="Visual inspection before cutting",
    question="Would what I see and measure stop this plate before it is cut?",
    page="visual.md",
    work=work_visual_check,
    main=("cracks", "undercut_depth", "reinforcement", "porosity"),
    inputs=(
        Choice(
            "rule", "Rule", (
                Option("test-plate", "Test plate (AWS D1.1, clause 4.9.1)"),
                Option("production", "Production weld (AWS D1.1, Table 6.1)"),
                Option("production-cyclic", "Production, cyclic load, across the stress (Table 6.1)"),
            ), "test-plate", "Which rule the weld is judged by. For your plate test: Test plate.",
        ),
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/8 in", "3 in", "Measured.", "t",
            common=("3/8 in", "1 in"),
            slide=THICKNESS,
        ),
        Choice("cracks", "Any crack", _NO_YES, _UNSEEN, "Along or across the weld, in a crater, at a toe."),
        Choice("craters", "Craters all filled", _NO_YES, _UNSEEN, "Every stop and the end of every pass you can see."),
        Choice(
            "fusion", "Any incomplete fusion", _NO_YES, _UNSEEN,
            "Weld metal on the plate that did not fuse with it; overlap counts here.",
        ),
        Quantity(
            "undercut_depth", "Undercut, deepest", LENGTH, "", "0 in", "1/2 in",
            "At its deepest point, along both toes. 0 where there is none; blank until you have measured.", "u",
            common=("0 in", "1/64 in", "1/32 in"),
        ),
        Quantity(
            "undercut_length", "Undercut, length", LENGTH, "", "0 in", "12 in",
            "Of all undercut deeper than the first limit, added up within any 12 in of weld. Only the production rule "
            "asks for it.", "L_u", True,
        ),
        Quantity(
            "underfill", "Weld face below the plate", LENGTH, "", "0 in", "1/2 in",
            "At its lowest point. 0 where the weld face is flush or higher; blank until you have measured.", "d_u",
            common=("0 in",),
        ),
        Quantity(
            "reinforcement", "Reinforcement", LENGTH, "", "0 in", "1 in",
            "Height of the weld face above the plate, at the highest point. Blank until you have measured.", "h",
            common=("1/16 in", "1/8 in"), slide=CAP,
        ),
        Choice("porosity", "Porosity at the surface", _NO_YES, _UNSEEN, "Any open pore, with the slag off."),
        Quantity(
            "mismatch", "Misalignment of the plates", LENGTH, "", "0 in", "1 in",
            "How far one surface stands above the other. Blank until you have measured.", "e",
            common=("0 in", "1/32 in"),
        ),
        Choice(
            "root", "Root", (Option("backing", "On steel backing"), Option("open", "Without backing")), "backing",
            "How the joint was welded.",
        ),
        Choice(
            "root_flaw", "Any discontinuity at the root", _NO_YES, _UNSEEN,
            "A crack, incomplete fusion or incomplete joint penetration.",
        ),
        Quantity(
            "concavity", "Root concavity", LENGTH, "", "0 in", "1/2 in",
            "Without backing only. Blank until you have measured.", "c",
        ),
        Quantity(
            "melt_through", "Melt-through", LENGTH, "", "0 in", "1 in",
            "How far metal hangs below the root, or below the backing if the arc went through it. Blank until you have "
            "looked.", "g",
        ),
    ),
)
