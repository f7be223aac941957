"""Labels and tags, and the stock they are printed on. Sizes are data."""

from dataclasses import dataclass, field
from datetime import date

from .quantity import Angle, Clearance, Length, Page, Style


@dataclass(frozen=True)
class Grid:
    """Where labels stand on a sheet: margins to the first label's corner, the pitch from label to label."""

    page: Page
    columns: int
    rows: int
    left_mm: float
    top_mm: float
    pitch_x_mm: float
    pitch_y_mm: float


@dataclass(frozen=True)
class LabelStock:
    """A kind of label stock and its printer's dots per inch; `grid` is None on a roll (one label a page).

    `inset_mm` is kept clear at either side of each label: office printers cannot print to a sheet's edge.
    """

    name: str
    width_mm: float
    height_mm: float
    dpi: int = 203
    grid: Grid | None = None
    inset_mm: float = 0


ROLL_50X25 = LabelStock("50 × 25 mm roll", 50, 25)
ROLL_62X29 = LabelStock("62 × 29 mm roll", 62, 29, dpi=300)
SHEET_A4 = LabelStock("A4, 3 × 8 labels of 70 × 36 mm", 70, 36, 600, Grid("A4", 3, 8, 0, 4.5, 70, 36), 4)
SHEET_LETTER = LabelStock(
    "Letter, 3 × 10 labels of 2.625 × 1 in", 66.675, 25.4, 600, Grid("letter", 3, 10, 4.7625, 12.7, 69.85, 25.4), 1
)
STOCKS: dict[str, LabelStock] = {"50x25": ROLL_50X25, "62x29": ROLL_62X29, "A4": SHEET_A4, "letter": SHEET_LETTER}
# An address takes a label of its own as well, wherever the printer has one.
ADDRESS_STOCKS: dict[str, LabelStock] = {
    "4x6": LabelStock("4 × 6 in", 101.6, 152.4),
    "A6": LabelStock("A6, 105 × 148 mm", 105, 148, dpi=300),
    **STOCKS,
}


@dataclass(frozen=True)
class AddressLabel:
    """Where a parcel goes. sender, to: the lines of an envelope, the name first. facts: what else stands on it, each
    a line: parcel, order, carrier, weight."""

    number: str
    dated: date
    sender: tuple[str, ...]
    to: tuple[str, ...]
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Label:
    """What every label carries.

    `number` is ours (ASCII: batch-line, batch-line-piece or a life tag): it is the QR code's whole content
    and stands in letters beside it, their number as large. `named` stands there instead where a tube holds some of a
    line's pieces: "417-1-2 to 1-4", whose code is its first piece's.
    """

    number: str
    dated: date
    shop: str
    part_number: str = ""
    named: str = ""
    customer: str = ""
    description: str = ""
    pieces: int = 1
    link: str = ""  # what the code holds instead of the number: the address of a followed tool's page
    style: Style = field(default_factory=Style)


@dataclass(frozen=True)
class ReturnLabel(Label):
    """On the tube of a ground tool. `diameter_to` is given where the pieces of one tube differ (the largest).

    `measured_on` names the piece of another tube that an assumed diameter was measured on. `difference` is
    diameter less nominal, so mostly negative. `corner` and `coating` say what is so now; `hole` what a
    reamer is for.
    """

    nominal: Length | None = None
    diameter: Length | None = None
    diameter_to: Length | None = None
    measured_on: str = ""
    difference: Length | None = None
    clearance: Clearance | None = None
    runout: Length | None = None
    usable_length: Length | None = None
    overall_length: Length | None = None
    width: Length | None = None
    chamfer: Length | None = None
    hole: str = ""
    teeth: int | None = None
    corner: str = ""
    coating: str = ""
    times_reground: int | None = None
    read_on: str = ""  # pieces of the tube that were measured, where they are not all of it


@dataclass(frozen=True)
class DrillLabel(Label):
    """On the tube of a drill: point angle and length instead of a new diameter."""

    diameter: Length | None = None
    angle_name: str = "Point"
    point: Angle | None = None
    flute_length: Length | None = None
    overall_length: Length | None = None
    lip_height_difference: Length | None = None
    coating: str = ""
    times_reground: int | None = None
    read_on: str = ""  # as of a ReturnLabel


@dataclass(frozen=True)
class NotGroundLabel(Label):
    """For a tool that goes back, or aside, not ground; `result` is "Returned unground" or "Scrap"."""

    why: str = ""
    result: str = "Returned unground"
    diameter: Length | None = None


@dataclass(frozen=True)
class ArrivalTag(Label):
    """On the tray when a box is logged; `count` is ours (`pieces` on the other labels), `due` as promised."""

    order_number: str = ""
    due: date | None = None
    rush: bool = False
    note: str = ""
