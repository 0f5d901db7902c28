"""The register of documents, and how each value is held.

Every value of the guide names a document of this register, the place in it, and
its standing: how we hold the value. A standing is never raised without the text
in hand. `WORKED_OUT` marks what the guide computes itself from what was given.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from calc.core.units import LENGTH, Kind, Number, parse

CHECKED_ON = date(2026, 11, 25)
"""The day when the values were last checked against the sources that we hold. Every page shows it at its foot.

It says nothing of editions that we don't hold. Change it only after going through the register again.
"""


class Standing(Enum):
    """How a value is held. The words are shown beside it."""

    READ = "read"
    SECONDARY = "secondary"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    WORKED_OUT = "worked out here"

    @property
    def meaning(self) -> str:
        """One sentence for the reader."""
        return _MEANING[self]


_MEANING = {
    Standing.READ: "We saw this number in the document itself.",
    Standing.SECONDARY: "We saw this number only in another text that reports the document.",
    Standing.FROM_MEMORY: "We hold this number from memory and did not see the text. Check the edition in force.",
    Standing.COMMON_PRACTICE: "The trade takes this for granted. No document is cited for it.",
    Standing.WORKED_OUT: "The guide worked this out from the numbers given, by the formula shown.",
}


@dataclass(frozen=True)
class Document:
    """A document that values come from. `id` is stable: links and tests use it."""

    id: str
    title: str
    issued_by: str
    edition: str
    note: str = ""


@dataclass(frozen=True)
class Citation:
    """A place in a document and how we hold what stands there."""

    document: Document | None
    place: str
    standing: Standing
    note: str = ""

    @property
    def text(self) -> str:
        """The citation in one line, standing included."""
        if self.document is None:
            where = self.place
        else:
            doc = self.document
            where = ", ".join(part for part in (doc.title, doc.edition, self.place) if part)
        ending = f". {self.note}" if self.note else ""
        return f"{where} ({self.standing.value}){ending}"


@dataclass(frozen=True)
class Fact:
    """One value of the register: a limit or figure that pages and calculators name by its id.

    `amount` is in the kind's base unit, exact; `wording` is used in its place
    where the value is not one number (a phrase such as "any crack").
    """

    id: str
    label: str
    amount: Number | None
    kind: Kind | None
    source: Citation
    wording: str = ""


def length_fact(id: str, label: str, size: str, source: Citation) -> Fact:
    """A length of the register, written as a drawing writes it.

    >>> length_fact("cap", "Maximum reinforcement", "1/8 in", ENTERED).amount
    Fraction(127, 40000)
    """
    return Fact(id, label, parse(size, LENGTH), LENGTH, source)


AWS = "American Welding Society"
OSHA = "US Occupational Safety and Health Administration"
WASHINGTON = "State of Washington, US"
NOT_NOTED = "edition not noted"

AWS_D11 = Document(
    "aws-d1.1", "AWS D1.1/D1.1M, Structural Welding Code: Steel", AWS, "2015",
    "Clause numbers moved in 2020. Use the edition that your test is held under.",
)
AWS_D11_2010 = Document("aws-d1.1-2010", "AWS D1.1/D1.1M, Structural Welding Code: Steel", AWS, "2010")
AWS_D11_2000 = Document("aws-d1.1-2000", "AWS D1.1, Structural Welding Code: Steel", AWS, "2000 and 2004")
AWS_D11_2004_2010 = Document(
    "aws-d1.1-2004-2010", "AWS D1.1/D1.1M, Structural Welding Code: Steel", AWS, "an edition from 2004 to 2010",
    "The page we saw does not print its edition; its clause numbers are those of 2004 to 2010.",
)
AWS_D11_BEFORE_2015 = Document(
    "aws-d1.1-before-2015", "AWS D1.1/D1.1M, Structural Welding Code: Steel", AWS, "an edition before 2015",
    "The page we saw does not print its edition.",
)
AWS_D11_2020 = Document("aws-d1.1-2020", "AWS D1.1/D1.1M, Structural Welding Code: Steel", AWS, "2020")
AWS_D11_2025 = Document("aws-d1.1-2025", "AWS D1.1/D1.1M, Structural Welding Code: Steel", AWS, "2025")
AWS_A30 = Document("aws-a3.0", "AWS A3.0, Standard Welding Terms and Definitions", AWS, NOT_NOTED)
AWS_A51 = Document(
    "aws-a5.1", "AWS A5.1/A5.1M, Specification for Carbon Steel Electrodes for Shielded Metal Arc Welding", AWS,
    NOT_NOTED,
)
AWS_A55 = Document(
    "aws-a5.5", "AWS A5.5/A5.5M, Specification for Low-Alloy Steel Electrodes for Shielded Metal Arc Welding", AWS,
    NOT_NOTED,
)
AWS_B40 = Document("aws-b4.0", "AWS B4.0M, Standard Methods for Mechanical Testing of Welds", AWS, "2000")
ASME_IX = Document("asme-ix", "ASME Boiler and Pressure Vessel Code, Section IX", "ASME", "2010")
ASME_IX_2017 = Document("asme-ix-2017", "ASME Boiler and Pressure Vessel Code, Section IX", "ASME", "2017")
ASME_IX_UNDATED = Document(
    "asme-ix-edition-not-noted", "ASME Boiler and Pressure Vessel Code, Section IX", "ASME", NOT_NOTED,
    "The page we saw does not print its edition.",
)
API_1104 = Document(
    "api-1104", "API 1104, Welding of Pipelines and Related Facilities", "American Petroleum Institute", "2005",
)
ASTM_E190 = Document("astm-e190", "ASTM E190, Guided Bend Test for Ductility of Welds", "ASTM", "2021")
ISO_5173 = Document("iso-5173", "ISO 5173, Destructive tests on welds in metallic materials: Bend tests", "ISO", "2009")
ISO_9606_1 = Document(
    "iso-9606-1", "ISO 9606-1, Qualification testing of welders: Fusion welding, Part 1: Steels", "ISO", "2012",
)
ISO_15614_1 = Document(
    "iso-15614-1", "ISO 15614-1, Specification and qualification of welding procedures", "ISO", NOT_NOTED,
)
EN_1011_1 = Document(
    "en-1011-1", "EN 1011-1, Recommendations for welding of metallic materials, Part 1", "CEN", NOT_NOTED,
)
EN_1011_2 = Document(
    "en-1011-2", "EN 1011-2, Recommendations for welding of metallic materials, Part 2", "CEN", NOT_NOTED,
)
IIW_CE = Document("iiw-ce", "Carbon equivalent formula of the International Institute of Welding", "IIW", NOT_NOTED)
TM_5_3431_217 = Document(
    "tm-5-3431-217-15", "TM 5-3431-217-15, welding set manual", "US Department of the Army", NOT_NOTED,
)
TM_5_3431_207 = Document(
    "tm-5-3431-207-15", "TM 5-3431-207-15, welding set manual", "US Department of the Army", NOT_NOTED,
)
OD1651 = Document("od1651", "OD1651, Ordnance course, Lesson 1", "US Army Ordnance", NOT_NOTED)
OD0017 = Document("od0017", "OD0017, Ordnance course", "US Army Ordnance", NOT_NOTED)
NAVEDTRA_14250 = Document("navedtra-14250", "NAVEDTRA 14250, Steelworker", "US Navy", NOT_NOTED)
NAVEDTRA_14119 = Document("navedtra-14119", "NAVEDTRA 14119", "US Navy", NOT_NOTED)
NAVSEA_278 = Document("navsea-278", "NAVSEA S9074-AR-GIB-010/278", "US Naval Sea Systems Command", NOT_NOTED)
NAVSEA_248 = Document("navsea-248", "NAVSEA S9074-AQ-GIB-010/248", "US Naval Sea Systems Command", "Revision 1")
UFC_3_320_01A = Document(
    "ufc-3-320-01a", "UFC 3-320-01A (TI 809-26), Welding: Design Procedures and Inspections",
    "US Department of Defense", NOT_NOTED,
)
CFR_1910_95 = Document("cfr-1910.95", "29 CFR 1910.95, Occupational noise exposure", OSHA, NOT_NOTED)
CFR_1910_133 = Document("cfr-1910.133", "29 CFR 1910.133, Eye and face protection", OSHA, NOT_NOTED)
CFR_1910_146 = Document("cfr-1910.146", "29 CFR 1910.146, Permit-required confined spaces", OSHA, NOT_NOTED)
CFR_1910_252 = Document(
    "cfr-1910.252", "29 CFR 1910.252, Welding, cutting and brazing: General requirements", OSHA, NOT_NOTED,
)
CFR_1910_253 = Document("cfr-1910.253", "29 CFR 1910.253, Oxygen-fuel gas welding and cutting", OSHA, NOT_NOTED)
CFR_1910_254 = Document("cfr-1910.254", "29 CFR 1910.254, Arc welding and cutting", OSHA, NOT_NOTED)
CFR_1910_1026 = Document("cfr-1910.1026", "29 CFR 1910.1026, Chromium (VI)", OSHA, NOT_NOTED)
CFR_1915_504 = Document("cfr-1915.504", "29 CFR 1915.504, Fire watches", OSHA, NOT_NOTED)
CFR_1915_1000 = Document("cfr-1915.1000", "29 CFR 1915.1000, Air contaminants", OSHA, NOT_NOTED)
CFR_1926_350 = Document("cfr-1926.350", "29 CFR 1926.350, Gas welding and cutting", OSHA, NOT_NOTED)
CFR_1926_351 = Document("cfr-1926.351", "29 CFR 1926.351, Arc welding and cutting", OSHA, NOT_NOTED)
OSHA_SAMPLING = Document("osha-sampling", "OSHA chemical sampling information, manganese fume", OSHA, NOT_NOTED)
RTECS = Document("rtecs-iron-oxide", "RTECS entry, iron oxide fume", "US NIOSH", NOT_NOTED)
NIOSH = Document("niosh-limits", "NIOSH recommended exposure limits", "US NIOSH", NOT_NOTED)
ACGIH_TLV = Document("acgih-tlv", "Threshold limit values", "ACGIH", NOT_NOTED)
CFR_49_192 = Document(
    "cfr-49-192", "49 CFR 192, Appendix C, Qualification of welders", "US Department of Transportation", NOT_NOTED,
)
CFR_46_56 = Document("cfr-46-56.70", "46 CFR 56.70-10, Preparation for welding", "US Coast Guard", NOT_NOTED)
CFR_46_57 = Document("cfr-46-57.05", "46 CFR 57.05-1, Performance qualifications", "US Coast Guard", NOT_NOTED)
WAC_296_307 = Document("wac-296-307", "WAC 296-307-49503, Fire prevention during welding", WASHINGTON, NOT_NOTED)
WAC_296_24 = Document("wac-296-24", "WAC 296-24, General safety and health standards", WASHINGTON, NOT_NOTED)
WAC_CYLINDERS = Document("wac-cylinders", "Washington State copy of 29 CFR 1910.253(b)", WASHINGTON, NOT_NOTED)
WAC_296_155 = Document("wac-296-155", "WAC 296-155, Safety standards for construction work", WASHINGTON, NOT_NOTED)
MICHIGAN_R408 = Document("mich-r408", "Michigan Administrative Code R 408", "State of Michigan, US", NOT_NOTED)
NFPA_51B = Document("nfpa-51b", "NFPA 51B, Fire Prevention During Welding, Cutting, and Other Hot Work", "NFPA", "2019")
CGA_G1 = Document("cga-g-1", "CGA G-1, Acetylene", "Compressed Gas Association", NOT_NOTED)
DC_12_E1019 = Document(
    "dc-12-e1019", "DC Municipal Regulations 12-E1019", "District of Columbia, US", "2017 code supplement",
)
IOWA_IM_559 = Document(
    "iowa-im-559", "Materials Instructional Memorandum 559", "Iowa Department of Transportation", "April 2016",
)
IOWA_IM_559_NOW = Document(
    "iowa-im-559-now", "Materials Instructional Memorandum 559", "Iowa Department of Transportation", "current issue",
)
LLOYDS_MATERIALS = Document(
    "ship-class-materials", "Ship class rules, Materials, Chapter 2", "a classification society", NOT_NOTED,
)
TRADE_COLUMN_2011 = Document(
    "trade-column-2011", "A trade column on continuity of welder qualification", "not named here", "2011",
)
SECONDARY_2009 = Document("secondary-2009", "A secondary text on bend specimens", "not named here", "2009")
SECONDARY_2015 = Document("secondary-2015", "A secondary text on guided bends", "not named here", "2015")
SECONDARY_STEELS = Document(
    "secondary-steels", "A welding guide's page on the preheat table of D1.1", "not named here", NOT_NOTED,
)
MACHINERYS_HANDBOOK = Document("machinerys-handbook", "Machinery's Handbook", "not named here", "31st edition")
FILLER_METAL_HANDBOOK = Document(
    "filler-metal-handbook", "A data handbook of filler metals", "not named here", NOT_NOTED,
)
WELDING_HANDBOOK = Document("welding-handbook", "A steel mill's welding handbook", "not named here", "edition 2")
NFPA_70 = Document("nfpa-70", "NFPA 70, National Electrical Code", "NFPA", NOT_NOTED)
EN_50525_2_81 = Document("en-50525-2-81", "EN 50525-2-81, Cables for arc welding", "CENELEC", NOT_NOTED)
ROSENTHAL_1946 = Document(
    "rosenthal-1946", "Rosenthal, The theory of moving sources of heat and its application to metal treatments",
    "Transactions of the ASME", "volume 68, 1946",
)
MATH_TABLES = Document("math-handbook", "Handbook of Mathematical Functions", "US National Bureau of Standards", "1964")
JCGM_100 = Document(
    "jcgm-100", "JCGM 100, Guide to the expression of uncertainty in measurement",
    "Joint Committee for Guides in Metrology", "2008",
)
VIEW_GEOMETRY = Document(
    "view-geometry", "Multiple View Geometry in Computer Vision", "", NOT_NOTED,
)
PHYSICS = Document("physics", "Textbook chemistry and physics", "", "")

DOCUMENTS: tuple[Document, ...] = (
    AWS_D11, AWS_D11_2010, AWS_D11_2000, AWS_D11_2004_2010, AWS_D11_BEFORE_2015, AWS_D11_2020, AWS_D11_2025, AWS_A30,
    AWS_A51, AWS_A55, AWS_B40, ASME_IX, ASME_IX_2017, ASME_IX_UNDATED, API_1104, ASTM_E190, ISO_5173, ISO_9606_1,
    ISO_15614_1, EN_1011_1, EN_1011_2, IIW_CE, TM_5_3431_217, TM_5_3431_207, OD1651, OD0017, NAVEDTRA_14250,
    NAVEDTRA_14119, NAVSEA_278, NAVSEA_248, UFC_3_320_01A, CFR_1910_95, CFR_1910_133, CFR_1910_146, CFR_1910_252,
    CFR_1910_253, CFR_1910_254, CFR_1910_1026, CFR_1915_504, CFR_1915_1000, CFR_1926_350, CFR_1926_351, OSHA_SAMPLING,
    RTECS, NIOSH, ACGIH_TLV, CFR_49_192, CFR_46_56, CFR_46_57, WAC_296_307, WAC_296_24, WAC_CYLINDERS, WAC_296_155,
    MICHIGAN_R408, NFPA_51B, CGA_G1, DC_12_E1019, IOWA_IM_559, IOWA_IM_559_NOW, LLOYDS_MATERIALS, TRADE_COLUMN_2011,
    SECONDARY_2009, SECONDARY_2015, SECONDARY_STEELS, MACHINERYS_HANDBOOK, FILLER_METAL_HANDBOOK, WELDING_HANDBOOK,
    NFPA_70, EN_50525_2_81, ROSENTHAL_1946, MATH_TABLES, JCGM_100, VIEW_GEOMETRY, PHYSICS,
)

GEOMETRY = Citation(None, "Plane geometry of the shape as entered", Standing.WORKED_OUT)
ENTERED = Citation(None, "Your own figure", Standing.WORKED_OUT)
YOUR_WPS = Citation(None, "Your WPS", Standing.WORKED_OUT)
COMMON = Citation(None, "Common practice in the trade, no source", Standing.COMMON_PRACTICE)
