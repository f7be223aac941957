"""Invented papers of any size for the tests and the benchmark: no real people or firms."""

from datetime import date

from regrind.paper import cautions
from regrind.paper.values import (
    Angle,
    BoxLine,
    Charge,
    Clearance,
    Customer,
    FamilyRow,
    Heading,
    Instrument,
    JobLine,
    JobPiece,
    JobSetup,
    JobSheet,
    Length,
    Letterhead,
    LifeChart,
    LifePoint,
    Money,
    NotGround,
    PackingSlip,
    Photo,
    PieceNow,
    Report,
    ReportLine,
    ReportPiece,
    Review,
    Section,
    SetupCard,
    SetupFigure,
    SetupPart,
    SetupSheet,
    Signed,
    SlipLine,
    State,
    Style,
    StylusDrawing,
    WheelSpeed,
)

INCH = 25_400_000
DAY = date(2025, 11, 24)
SHOP = Letterhead("Hollis Tool Grinding", ("12 Mill Lane, Northport", "+1 555 0100 · desk@hollis.example"))
CUSTOMER = Customer("Brightwater Pump Works", ("Receiving, gate 3", "400 Canal Road, Eastfield"), "Ada Merrow")
INCHES, MILLIMETRES = Style("in"), Style("mm", ",", "A4")
WHAT = "Square end mill 1/4, 3 flute, carbide, 30°, AlTiN"


def inch(value, places=4, **how):
    return Length(round(value * INCH), places, places - 1, **how)


def heading(number="417", style=INCHES, **changes):
    values = {
        "shop": SHOP,
        "customer": CUSTOMER,
        "batch": "417",
        "dated": DAY,
        "order_number": "PO 88123",
        "arrived": date(2025, 11, 17),
        "due": date(2025, 12, 1),
        "style": style,
    }
    return Heading(number, **values | changes)


def after_of(number):
    """A piece's own diameter, so that every figure on a paper can be told from its neighbours'."""
    return inch(0.2490 - (number % 90) * 0.0001)


def card(**changes):
    values = {
        "number": "S1",
        "holding": "5C collet, 1/4",
        "wheel": "Cup D126 resin, 4 in, mark W12",
        "wheel_truing": inch(0.0002),
        "speed": WheelSpeed(3600, 4200, "19"),
        "parts": (sides_part(),),
        "steps": ("Rough all pieces to .0005 over.", "Reverse the wheel, finish."),
        "cautions": cautions.REVERSED,
    }
    return SetupCard(changes.pop("title", "Sides, primary relief"), **values | changes)


def sides_part():
    """The sides as the bench works them out: 12° at .1204 in radius, 30° of helix, the stylus .060 in away."""
    figures = (
        SetupFigure("Grind to", inch(0.2408)),
        SetupFigure("Travel stop, from the end before it is ground", inch(0.69)),
        SetupFigure("Stylus tip, above the tool’s centre", inch(0.0079)),
        SetupFigure(
            "Stylus, from the wheel corner nearest the shank to the stylus corner nearest the wheel", inch(0.06)
        ),
        SetupFigure("Hand", text="right-hand cut, right-hand helix"),
        SetupFigure("Helix at that diameter", text="29.0°", assumed=True),
        SetupFigure("Primary relief", text="12.0°", note="± 5.5°"),
        SetupFigure("Secondary relief", text="24.0°"),
        SetupFigure("Drop to aim for, .020 in along the tangent", inch(0.0034), note=".0030 in to .0038 in for ± 1°"),
        SetupFigure("Infeed roughing, on the radius", text="14 passes of .0003 in"),
        SetupFigure("Infeed finishing, on the radius"),
    )
    return SetupPart(
        "Sides", figures, ("Tooth face down on the stylus.", "Finishing: reversed, into the edge."), stylus()
    )


def stylus(**changes):
    values = {
        "radius_mm": 3.058,
        "relief_rad": 0.2094,
        "lag_rad": 0.277,
        "distance_mm": 1.524,
        "agree": True,
        "above": True,
        "height": inch(0.0079),
        "distance": inch(0.06),
    }
    return StylusDrawing(**values | changes)


def section(teeth=3):
    return Section(teeth, inch(0.2498), inch(0.2408), inch(0.15))


def job_piece(number, line=3, **changes):
    values = {
        "diameter_now": inch(0.2498),
        "removal_radial": inch(0.0045),
        "diameter_after": after_of(number),
        "cut_back": inch(0.012),
        "travel_stop": inch(0.678, 3),
        "usable_after": inch(0.678, 3),
    }
    return JobPiece(f"417-{line}-{number}", **values | changes)


def job(pieces=12, style=INCHES, **changes):
    made = tuple(job_piece(number) for number in range(1, pieces + 1))
    lines = (JobLine("417-3", WHAT, made, "EM-0250-3F", section(), "Keep at one size"),)
    values = {
        "head": heading("417-J", style, rush=True),
        "box": (BoxLine("417-3", pieces, WHAT, "EM-0250-3F"),),
        "setups": (JobSetup("1/4 collet, cup wheel D126, 12° relief", lines, card()),),
        "terms": ("No more than .015 under nominal", "Always ask before scrapping"),
        "note": "Two racks.",
    }
    return JobSheet(**values | changes)


def setup(style=INCHES, **changes):
    return SetupSheet(heading("417-S", style), (card(**changes),))


def report_piece(number, line=3, **changes):
    before = State(
        diameter=inch(0.2498),
        runout=inch(0.0006),
        overall_length=inch(2.498, 3),
        usable_length=inch(0.75, 3, assumed=True),
        corner="chipped",
        coating="AlTiN",
    )
    after = State(
        diameter=after_of(number),
        difference=Length(after_of(number).nm - INCH // 4),
        runout=inch(0.0003),
        overall_length=inch(2.486, 3),
        usable_length=inch(0.678, 3),
        corner="now square",
        clearance=Clearance(Angle(1200), inch(0.0034), inch(0.02, 3)),
        coating="ground off on the flank",
    )
    values = {
        "before": before,
        "after": after,
        "removed_radial": inch(0.0045),
        "cut_back": inch(0.012),
        "done": "sides and end",
        "times_reground": 2,
    }
    return ReportPiece(f"417-{line}-{number}", "ground", **values | changes)


def piece_now(number, line=3):
    """Every second piece was not measured itself: the one before it stands for it."""
    return PieceNow(
        f"417-{line}-{number}",
        "ground",
        diameter=after_of(number),
        diameter_of="" if number % 2 else f"417-{line}-{number - 1}",
        overall_length=inch(2.486, 3),
        lengths_of="" if number % 2 else f"417-{line}-{number - 1}",
        corner="sharp; its radius of .0200 in (0.508 mm) is gone",
        coating="ground off on the flank",
        limits=("smallest diameter: left at .2401 in (6.099 mm), your limit .2405 in; released: agreed by Ann",),
    )


def life(points=5):
    visits = tuple(
        LifePoint(date(2021 + visit // 2, 1 + visit % 2 * 6, 15), inch(0.25 - visit * 0.0024))
        for visit in range(points)
    )
    return LifeChart("K7M3QP", visits, inch(0.25), inch(0.235), WHAT, "EM-0250-3F")


def not_ground(number="417-3-12", photos=(), **changes):
    values = {"why": "Chip into the flute face", "part_number": "EM-0250-3F", "photos": photos}
    return NotGround(number, WHAT, 1, "returned unground", **values | changes)


def report(pieces=12, style=INCHES, photo=None, **changes):
    made = tuple(report_piece(number) for number in range(1, pieces + 1))
    values = {
        "head": heading("417-R", style),
        "lines": (
            ReportLine(
                "417-3",
                WHAT,
                pieces + 1,
                pieces,
                made,
                "EM-0250-3F",
                inch(0.25),
                inch(0.2401),
                inch(0.249),
                inch(-0.0099),
                "1 returned unground",
                "sides and end",
                "about 2",
                now=tuple(piece_now(number) for number in range(1, min(pieces, 2) + 1)),
            ),
        ),
        "not_ground": (not_ground(photos=(Photo(photo, "Tooth 2"),) if photo else ()),),
        "instruments": (
            Instrument("V-anvil micrometer", "G4", inch(0.0001), "in calibration", date(2026, 3, 1), "diameter"),
            Instrument("Test indicator", "G9", inch(0.00005, 5), "overdue", date(2025, 9, 1), "runout, relief"),
        ),
        "assumed": ("Core diameter: .150 in, from the family",),
        "measured_by": (Signed("Tomasz Wójcik", DAY),),
        "released_by": (Signed("Ελένη Μαυρίδη", DAY),),
        "life": (life(),),
        "note": "Thank you for the sample part.",
    }
    return Report(**values | changes)


def slip(lines=3, style=INCHES, priced=True, **changes):
    price, amount = (Money(650), Money(6500)) if priced else (None, None)
    made = tuple(
        SlipLine(
            f"417-{number}",
            WHAT,
            13,
            ground=10,
            returned_unground=1,
            scrap=1,
            missing=1,
            why="Missing: 1",
            part_number="EM-0250-3F",
            unit_price=price,
            amount=amount,
        )
        for number in range(1, lines + 1)
    )
    values = {
        "head": heading("417-P1", style),
        "lines": made,
        "parcel": "Parcel 1 of 2",
        "follows": ("417-9: 4 at the coater, expected 8 Dec 2025",),
        "packed_by": Signed("Łucja Krawiec", DAY),
    }
    if priced:
        values |= {"charges": (Charge("Rush", Money(2500)),), "total": Money(6500 * lines + 2500)}
    return PackingSlip(**values | changes)


def review(rows=8, style=INCHES, **changes):
    made = tuple(
        FamilyRow(
            f"{WHAT} no. {number}",
            40 + number,
            82,
            inch(0.0046),
            "2.1",
            "about 2",
            "6.5",
            Money(650),
            9,
            "chip into the flute",
            number % 3,
        )
        for number in range(1, rows + 1)
    )
    values = {"head": heading("R-2025", style), "period": "1 Jan 2024 to 24 Nov 2025", "rows": made}
    return Review(**values | changes)
