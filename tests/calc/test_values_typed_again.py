"""Every value of the register typed again.

The values below were typed anew from our notes of the documents' own text, section by section, not from the modules. So
a digit that slips in a table of calc is seen here, whatever it is used for. Physical constants are checked against
scipy's CODATA table and the chemicals library.
"""

from __future__ import annotations

from fractions import Fraction

import chemicals
import pytest
from scipy import constants

from calc.catalogue import FACTS
from calc.core.sources import DOCUMENTS, NOT_NOTED, Standing
from calc.core.units import parse

BY_ID = {fact.id: fact for fact in FACTS}


def _plain(name: str) -> str:
    """The words of a value, with plain spaces."""
    return BY_ID[name].wording.replace("\u00a0", " ").replace("\u202f", " ")


BENDS = {
    # ASME IX Figure QW-466.1 with QW-162.1, and the jig by yield strength
    "bend-specimen-thickness": "3/8 in", "bend-plunger-ratio": "4", "bend-opening-clearance": "1/8 in", "bend-roller": "1-1/2 in",
    "bend-plunger-1-1-2": "1-1/2 in", "bend-plunger-2": "2 in", "bend-plunger-2-1-2": "2-1/2 in",
    "coupon-wide-over": "1-1/2 in", "coupon-plunger-extra": "1/4 in",
    # acceptance: D1.1, inch and millimeter column
    "bend-single": "1/8 in", "bend-sum-floor": "1/32 in", "bend-sum": "3/8 in", "bend-corner": "1/4 in",
    "bend-single-mm": "3 mm", "bend-sum-floor-mm": "1 mm", "bend-sum-mm": "10 mm", "bend-corner-mm": "6 mm",
    # acceptance: QW-163, 49 CFR 192 App. C, ISO 9606-1, DC 12-E1019, API 1104, NAVEDTRA 14250
    "bend-single-asme": "1/8 in", "bend-single-asme-mm": "3 mm", "bend-single-cfr": "1/8 in", "bend-single-cfr-mm": "3.2 mm",
    "bend-cfr-failing": "2", "coupon-cfr-count": "4", "bend-single-iso": "3 mm", "bend-sum-floor-iso": "1 mm", "bend-sum-iso": "10 mm",
    "bend-single-dc": "3.2 mm", "bend-single-api": "3.0 mm", "bend-corner-api": "6 mm", "bend-single-navy": "1/8 in",
    # specimens: QW-462.2, QW-462.3(a), QW-452.1(a), D1.1, a class rule, ISO 5173
    "coupon-side-width": "3/8 in", "coupon-length": "6 in", "coupon-edge-radius": "1/8 in", "coupon-strip-from": "1-1/2 in",
    "coupon-strip-least": "3/4 in", "coupon-strip-most": "1-1/2 in", "coupon-face-root-width": "1-1/2 in",
    "coupon-aws-face-root": "3/8 in", "coupon-aws-face-root-mm": "10 mm", "coupon-asme-side-may": "3/8 in",
    "coupon-asme-side-must": "3/4 in", "coupon-flush-limit": "1/32 in", "coupon-ship-width": "30 mm", "coupon-iso-side": "10 mm",
}
QUALIFICATION = {
    "qualify-least": "1/8 in", "qualify-limited-plate": "3/8 in", "qualify-limited-most": "3/4 in",
    "qualify-unlimited-plate": "1 in", "qualify-asme-unlimited-deposit": "1/2 in", "qualify-asme-layers": "3",
    "qualify-iso-least": "3 mm", "qualify-iso-unlimited-deposit": "12 mm", "qualify-pipe-from-plate": "24 in",
    "retest-bends-per-plate": "2",
}
VISUAL = {
    "visual-undercut-thick": "1 in", "visual-undercut-production": "1/32 in",
    "visual-undercut-production-short": "1/16 in", "visual-undercut-short": "2 in", "visual-undercut-run": "12 in",
    "visual-undercut-production-thick": "1/16 in", "visual-undercut-cyclic": "0.01 in",
    "visual-undercut-test": "1/32 in", "cap-limit": "1/8 in", "visual-concavity-test": "1/16 in",
    "visual-melt-through-test": "1/8 in",
}
ELECTRODES = {
    "ampere-per-thousandth": "1000 A/in", "largest-rod-vertical-overhead": "3/16 in", "arc-longest": "1",
    "arc-volts-small": "20 V", "arc-volts-large": "30 V", "efficiency-e7018": "71 %", "efficiency-e6010": "63 %",
    "efficiency-e6011": "68 %", "efficiency-e6013": "67 %", "stub-length": "2 in",
}
SAFETY = {
    # 29 CFR 1910.133(a)(5), and the older list in NAVEDTRA 14119 Table 7-1
    "shade-least-arc-under-60": "7", "shade-least-arc-60-160": "8", "shade-least-arc-160-250": "10", "shade-least-arc-250-550": "11",
    "shade-guide-arc-5-32": "10", "shade-guide-arc-1-4": "12", "shade-guide-arc-3-8": "14",
    "shade-least-cut-under-1": "3", "shade-least-cut-1-6": "4", "shade-least-cut-over-6": "5",
    # fire watch, cylinders, ventilation
    "hot-work-radius": "35 ft", "fire-watch-osha": "30 min", "fire-watch-shipyard": "30 min", "fire-watch-nfpa": "60 min",
    "cylinder-distance": "20 ft", "cylinder-combustibles": "20 ft", "cylinder-wall-height": "5 ft", "cylinder-wall-rating": "30 min",
    "ventilation-volume": "10000 ft3", "ventilation-ceiling": "16 ft", "ventilation-flow": "2000 ft3/min", "ventilation-hood-speed": "100 ft/min",
    "hood-flow-4-6": "150 ft3/min", "hood-flow-6-8": "275 ft3/min", "hood-flow-8-10": "425 ft3/min", "hood-flow-10-12": "600 ft3/min",
    "hood-duct-4-6": "3 in", "hood-duct-6-8": "3-1/2 in", "hood-duct-8-10": "4-1/2 in", "hood-duct-10-12": "5-1/2 in",
    # gas and electricity
    "acetylene-pressure-limit": "15 psi", "acetylene-draw-most": "50 ft3/h", "ocv-ac-manual": "80 V", "ocv-dc-manual": "100 V",
    "ocv-dc-ripple": "80 V", "cable-splice": "10 ft",
    # exposure and noise
    "fume-manganese-osha": "5 mg/m3", "fume-manganese-niosh": "1 mg/m3", "fume-manganese-niosh-short": "3 mg/m3",
    "fume-manganese-danger": "500 mg/m3", "fume-manganese-guideline": "0.02 mg/m3", "fume-manganese-guideline-inhalable": "0.1 mg/m3",
    "fume-iron-oxide-osha": "10 mg/m3", "fume-iron-oxide-niosh": "5 mg/m3", "fume-chromium-osha": "5 ug/m3",
    "fume-chromium-action": "2.5 ug/m3", "fume-chromium-niosh": "0.2 ug/m3",
    "noise-osha-level": "90 dBA", "noise-osha-step": "5 dB", "noise-osha-top": "115 dBA", "noise-osha-action": "85 dBA",
    "noise-niosh-level": "85 dBA", "noise-niosh-step": "3 dB",
}
HEAT = {
    "arc-efficiency-smaw": "0.8", "arc-efficiency-gmaw": "0.8", "arc-efficiency-fcaw": "0.8",
    "arc-efficiency-saw": "1.0", "arc-efficiency-gtaw": "0.6", "arc-efficiency-paw": "0.6",
    "cooling-factor-butt": "0.9", "cooling-factor-plate": "1", "preheat-cold-metal": "32 F",
    "preheat-cold-least": "70 F", "coldest-air": "0 F", "preheat-metric-limit": "20 mm", "oven-holding": "250 F",
    "oven-holding-metric": "120 C", "oven-return-hold": "4 h", "exposure-e70": "4 h", "exposure-e70r": "9 h",
    "rebake-time": "2 h", "rebake-low": "500 F", "rebake-high": "800 F", "a36-carbon": "0.26 %",
    "steel-conductivity": "50 W/mK", "steel-specific-heat": "480 J/kgK", "steel-melts": "1425 C",
}
STEEL = {
    "steel-density": "7850 kg/m3", "plate-weight-inch": "40.84 lb", "shrink-area-high": "0.2", "shrink-opening": "0.05",
    "shrink-area-low": "0.1", "preset-angle-low": "1 deg", "preset-angle-high": "3 deg", "a36-yield": "36 ksi",
    "a36-tensile-low": "58 ksi", "a36-tensile-high": "80 ksi", "fit-backing-thickness": "3/16 in",
    # prequalified joint with backing: as detailed, and at fit-up
    "fit-detail-over": "1/16 in", "fit-detail-under": "0 in", "fit-over": "1/4 in", "fit-under": "1/16 in",
    "fit-angle-over": "10 deg", "fit-angle-under": "5 deg", "groove-angle-over": "10 deg",
    "groove-angle-middle": "30 deg", "groove-opening-middle": "3/8 in", "groove-angle-narrowest": "20 deg", "groove-opening-widest": "1/2 in",
    # oxygen for cutting; the least pressure and jet of the cutting table
    "cut-oxygen-purity": "99.5 %", "cut-oxygen-purity-least": "95 %", "acetylene-pressure-least": "3 psi", "kerf-least": "0.030 in",
    # a Navy document, from the edge of the weld
    "clean-band-one": "1 in",
}
NOTED = BENDS | QUALIFICATION | VISUAL | ELECTRODES | SAFETY | HEAT | STEEL

# The brief of the test plate, and what a shop takes for granted: no document says it, so this list is the second witness.
AGREED = {
    "groove-angle": "45 deg", "groove-root-opening": "1/4 in", "bevel-steepest": "45 deg", "arc-low-hydrogen": "0.5",
    "duty-period": "10 min", "weave-most": "2.5", "restart-lead": "1/2 in", "fill-below": "1/16 in",
    "cover-over-edge": "1/16 in", "rods-per-pass-low": "2", "rods-per-pass-high": "3", "run-out-most": "1",
    "run-out-least": "1/4", "rod-to-core-e7018": "1.4", "rod-to-core-e6010": "1.2", "rod-to-core-e6011": "1.2",
    "rod-to-core-e6013": "1.3", "coupon-discard": "1 in", "clean-band-half": "1/2 in",
    "groove-root-face-most": "1/16 in", "cap-lap-most": "1/8 in", "kerf-most": "1/8 in", "bevel-drop-margin": "1/4 in",
    "cut-share-least": "50 %", "shade-darker": "2", "fit-end-reach": "1 in", "fit-run-off": "1 in",
    "fit-tack-length": "1/2 in", "fit-uneven": "1/32 in", "plan-kerf": "1/16 in", "plan-run-off": "1 in",
    "operating-factor": "25 %", "plan-coupons": "2", "ce-easy": "0.40 %", "ce-hard": "0.45 %",
    "bend-load-band-low": "0.7", "bend-load-band-high": "1.5", "operating-factor-high": "50 %",
    "jack-pressure": "10000 psi",
}
# Held from memory of the trade's handbooks, each typed a second time.
HANDBOOK = {
    # ASTM A6, plate under its size; D1.1:2010 clause 5.24.3, reinforcement of a groove weld
    "plate-under": "0.01 in", "visual-reinforcement-production": "1/8 in",
    "largest-low-hydrogen-vertical-overhead": "5/32 in", "fit-mismatch-share": "10 %", "fit-mismatch-most": "1/8 in", "fit-backing-gap": "1/16 in",
    "tensile-e70": "70 ksi", "tensile-e60": "60 ksi", "steel-elastic-modulus": "29000 ksi", "still-air-heat-transfer": "10 W/m2K",
    "scaled-steel-emissivity": "0.8", "biot-limit": "0.1", "burn-cooling": "20 min", "copper-temperature-coefficient": "0.00393",
    "ce-fit-carbon": "0.25 %", "ce-fit-manganese": "1.7 %", "ce-fit-chromium": "0.9 %", "ce-fit-molybdenum": "0.75 %",
    "ce-fit-vanadium": "0.20 %", "ce-fit-nickel": "2.5 %", "ce-fit-copper": "1.0 %",
}
# Specified minimum yield strength by the ASTM specification, from memory.
YIELDS = {
    "yield-a53-b": "35 ksi", "yield-a106-b": "35 ksi", "yield-a131-b": "34 ksi", "yield-a500-b": "46 ksi",
    "yield-a500-c": "50 ksi", "yield-a501-a": "36 ksi", "yield-a516-70": "38 ksi", "yield-a529-50": "50 ksi",
    "yield-a572-42": "42 ksi", "yield-a572-50": "50 ksi", "yield-a572-55": "55 ksi", "yield-a572-60": "60 ksi",
    "yield-a572-65": "65 ksi", "yield-a588": "50 ksi", "yield-a709-36": "36 ksi", "yield-a709-50": "50 ksi",
    "yield-a709-50w": "50 ksi", "yield-a913-50": "50 ksi", "yield-a992": "50 ksi", "yield-a514": "100 ksi",
}
HANDBOOK |= YIELDS
# AWS D1.1:2020 Table 5.1, TM 5-3431-217-15 Table 3 and OD1651 page 29 (read); Machinery's Handbook, page 1594 (secondary).
LIMITS = {
    "largest-rod-flat": "1/4 in", "largest-rod-root": "3/16 in", "largest-rod-horizontal": "3/16 in",
    "layer-thickness-most": "3/16 in", "root-pass-most-flat": "3/8 in", "root-pass-most-horizontal": "5/16 in",
    "root-pass-most-vertical": "1/2 in", "root-pass-most-overhead": "5/16 in", "arc-volts-none-low": "15 V",
    "rod-amps-most": "500 A", "rod-amps-least": "20 A", "current-out-of-position": "0.9",
}
NOTED |= LIMITS
# Common practice, no source.
HANDBOOK |= {
    # The chart of the welding handbook, figure 3.9.
    "cooling-chart-heat-low": "0.5 kJ/mm", "cooling-chart-heat-high": "5 kJ/mm", "cooling-chart-start": "250 C",
}
AGREED |= {
    "current-far": "1/4", "duty-one-rod": "1 min", "duty-far-over": "2", "cable-duty": "60 %", "cable-warm": "140 F",
    "cable-drop-wide": "10 V", "arc-volts-none-high": "40 V", "arc-volts-over-line": "5 V",
    "arc-volts-over-line-cellulosic": "8 V", "hand-speed-least": "3 in/min", "hand-speed-most": "15 in/min",
    "oven-holding-usual-most": "300 F", "exposure-little-left": "30 min", "interpass-low-maximum": "250 F",
    "interpass-usual-maximum": "550 F", "stub-least": "1 in", "efficiency-least": "50 %", "efficiency-most": "90 %",
    "rod-to-core-most": "3", "burn-off-least": "6 in/min", "burn-off-most": "20 in/min",
}
# What this guide assumes of a phone's camera, and where its photos end.
AGREED |= {
    "photo-focal-least": "0.65", "photo-focal-most": "1.2", "photo-lens": "1 %", "photo-tilt-caution": "30 deg",
    "photo-tilt-most": "45 deg", "photo-turned-most": "30 deg", "photo-apex-off": "5 deg", "photo-radius-off": "10 %",
    "photo-reference-least": "5 %", "photo-farthest": "1.5", "photo-wide-band": "25 %", "photo-coverage": "2",
}
# From memory of NFPA 70 (copper in free air, 90 °C), EN 50525-2-81 (100 % duty) and the trade's handbooks.
HANDBOOK |= {
    "cable-carries-awg-4": "140 A", "cable-carries-awg-2": "190 A", "cable-carries-awg-1": "220 A",
    "cable-carries-awg-1-0": "260 A", "cable-carries-awg-2-0": "300 A", "cable-carries-awg-3-0": "350 A",
    "cable-carries-awg-4-0": "405 A", "cable-carries-16-mm2": "135 A", "cable-carries-25-mm2": "180 A",
    "cable-carries-35-mm2": "225 A", "cable-carries-50-mm2": "285 A", "cable-carries-70-mm2": "355 A",
    "cable-carries-95-mm2": "430 A", "cable-jacket": "194 F", "duty-rated-air": "104 F", "ce-own-procedure": "0.60 %",
    "cooling-fast": "5 s", "cooling-slow": "30 s", "steel-conductivity-low": "20 W/mK",
    "steel-conductivity-high": "65 W/mK", "steel-specific-heat-low": "420 J/kgK",
    "steel-specific-heat-high": "900 J/kgK",
}
# (value in the base unit by a library, its relative tolerance)
CONSTANTS = {
    "molar-gas-constant": (constants.R, 1e-9), "standard-atmosphere": (constants.atm, 0), "stefan-boltzmann": (float(f"{constants.Stefan_Boltzmann:.6e}"), 0),
    "iron-molar-mass": (chemicals.MW("7439-89-6") / 1000, 1e-4),
    "iron-burning-heat": (-chemicals.Hfs("1317-61-9") if chemicals.Hfs("1317-61-9") else 1118400, 1e-3),
    # The copper standard of 1913: 1/58 ohm mm²/m at 20 °C.
    "copper-resistivity": (1e-6 / 58, 1e-3),
}
# Editions, as our notes of the sources have them.
EDITIONS = {
    "aws-d1.1": "2015", "aws-d1.1-2010": "2010", "aws-d1.1-2000": "2000 and 2004",
    "aws-d1.1-2004-2010": "an edition from 2004 to 2010", "aws-d1.1-before-2015": "an edition before 2015",
    "aws-d1.1-2025": "2025", "aws-b4.0": "2000", "asme-ix": "2010", "asme-ix-2017": "2017", "api-1104": "2005",
    "astm-e190": "2021", "iso-5173": "2009", "iso-9606-1": "2012", "navsea-248": "Revision 1", "nfpa-51b": "2019",
    "dc-12-e1019": "2017 code supplement", "iowa-im-559": "April 2016", "iowa-im-559-now": "current issue",
    "trade-column-2011": "2011", "secondary-2009": "2009", "secondary-2015": "2015", "aws-d1.1-2020": "2020",
    "machinerys-handbook": "31st edition", "welding-handbook": "edition 2", "rosenthal-1946": "volume 68, 1946",
    "math-handbook": "1964", "jcgm-100": "2008",
}


def test_every_value_is_the_same_typed_again():
    typed = NOTED | AGREED | HANDBOOK
    assert {name: BY_ID[name].amount for name in typed} == {
        name: parse(text, BY_ID[name].kind) for name, text in typed.items()
    }


def test_every_edition_is_the_same_typed_again():
    assert {each.id: each.edition for each in DOCUMENTS if each.edition not in ("", NOT_NOTED)} == EDITIONS


@pytest.mark.parametrize("name", AGREED)
def test_what_no_document_says_does_not_claim_one(name):
    assert BY_ID[name].source.standing in (Standing.COMMON_PRACTICE, Standing.FROM_MEMORY)


@pytest.mark.parametrize("name", CONSTANTS)
def test_a_constant_agrees_with_a_library(name):
    theirs, tolerance = CONSTANTS[name]
    assert float(BY_ID[name].amount) == pytest.approx(theirs, rel=tolerance or 1e-12)


def test_no_value_goes_without_a_second_witness():
    assert {fact.id for fact in FACTS if fact.amount is not None} <= {*NOTED, *AGREED, *HANDBOOK, *CONSTANTS}


CURRENTS = {  # A5.1, typical range in amperes, by electrode; sizes 3/32, 1/8, 5/32, 3/16, 7/32, 1/4
    ("e6010", "e6011"): "40-80 75-125 110-170 140-215 170-250 210-320",
    ("e6013",): "45-90 80-130 105-180 150-230 210-300 250-350",
    ("e7018",): "70-100 115-165 150-220 200-275 260-340 315-400",
}
SIZES = ("3-32", "1-8", "5-32", "3-16", "7-32", "1-4")


def test_the_current_table_as_printed():
    for names, row in CURRENTS.items():
        for electrode in names:
            told = [BY_ID[f"current-{electrode}-{size}"].wording for size in SIZES]
            assert told == [f"{band.replace('-', ' to ')} A" for band in row.split()]


CUTTING = {  # thickness: orifice in thousandths of an inch, oxygen psig, acetylene psig, speed in/min
    "1-4": "30-60 20-35 3-5 16-26", "3-8": "30-60 25-40 3-5 15-24", "1-2": "40-60 30-45 3-5 12-23",
    "3-4": "45-60 30-50 3-5 12-20", "1": "45-60 35-55 3-6 9-18",
}


@pytest.mark.parametrize("thickness", CUTTING)
def test_the_cutting_table_as_noted(thickness):
    for name, band, unit, factor in zip(
        ("orifice", "oxygen-pressure", "acetylene-pressure", "speed"), CUTTING[thickness].split(),
        ("in", "psi", "psi", "in/min"), (Fraction(1, 1000), 1, 1, 1), strict=True,
    ):
        low, high = (float(int(end) * factor) for end in band.split("-"))
        assert _plain(f"cut-{name}-{thickness}").startswith(f"{low:g} to {high:g} {unit} (")


PREHEAT = {  # TI 809-26 Table 3-1, A36: °F (°C) by thickness
    "preheat-a": "32 0, 150 65, 225 110, 300 150", "preheat-b": "32 0, 50 10, 150 65, 225 110",
    # Category C by a secondary text, quenched and tempered steel from memory.
    "preheat-c": "50 10, 150 65, 225 110, 300 150", "preheat-q": "50 10, 125 50, 175 80, 225 110",
}


@pytest.mark.parametrize("category", PREHEAT)
def test_the_preheat_table_as_printed(category):
    for thickness, row in zip(("3-4", "1-1-2", "2-1-2", "over-2-1-2"), PREHEAT[category].split(", "), strict=True):
        us, si = row.split()
        assert BY_ID[f"{category}-{thickness}"].wording == f"{us} °F ({si} °C)"


WORDED = {
    "groove-single-bevel-opening": "as detailed +1/16 in, −0 (+2 mm, −0); as fit-up +1/4 in, −1/16 in (+6 mm, −2 mm)",
    "groove-single-bevel-angle": "as detailed +10°, −0°; as fit-up +10°, −5°",
    "cut-oxygen-purity-loss": "At 98.5 % the cut is 15 % slower and takes 25 % more oxygen",
    "clean-foreign-material": "excess water, oil, grease and other hydrocarbons",
    "clean-navy-scale": "where weld metal will be deposited", "shade-guide-cut-under-1": "3 or 4",
    "shade-guide-cut-1-6": "4 or 5", "shade-guide-cut-over-6": "5 or 6",
    "cut-propane-pressure": "3 to 10 psi (0.21 to 0.69 bar)", "cut-oxygen-flow": "50 to 130 ft³/h (1.4 to 3.7 m³/h)",
    "cut-acetylene-flow": "7 to 16 ft³/h (0.2 to 0.45 m³/h)", "current-everyday": "115 to 120 A",
    "rate-e7018-1-8": "2.6 to 3.0 lb/h (1.2 to 1.4 kg/h) at 120 to 160 A",
    "rate-e7018-5-32": "3.1 to 4.2 lb/h (1.4 to 1.9 kg/h) at 140 to 190 A",
    "fit-strips-inch": "1/16 in, 3/32 in, 1/8 in, 3/16 in, 1/4 in, 5/16 in, 3/8 in, 1/2 in",
    "fit-strips-metric": "1.5 mm, 2 mm, 2.5 mm, 3 mm, 4 mm, 5 mm, 6 mm, 8 mm, 10 mm, 12 mm",
}


def test_the_bands_as_noted():
    assert {name: _plain(name) for name in WORDED} == WORDED
