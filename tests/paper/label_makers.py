"""Labels of the tests: one of each sort, the stocks they are printed on, and names that strain them."""

import dataclasses
from datetime import date

from regrind.paper.values import (
    ROLL_50X25,
    ROLL_62X29,
    Angle,
    ArrivalTag,
    Clearance,
    DrillLabel,
    Length,
    NotGroundLabel,
    ReturnLabel,
)

INCH = 25_400_000


DAY = date(2025, 11, 24)


ROLLS = [ROLL_50X25, dataclasses.replace(ROLL_50X25, dpi=300), dataclasses.replace(ROLL_62X29, dpi=203), ROLL_62X29]


NAMES = ["EM-0250-3F", "Łódź-Fräser-Nr-0081/7 lang", "Κοπτικό 12", "Фреза 8 мм", "9", "<b>T&1</b>", "Q" * 50]


def inch(value, places=4, **how):
    return Length(round(value * INCH), places, places - 1, **how)


def a_return(number="417-3", **changes):
    values = {
        "part_number": "EM-0250-3F",
        "pieces": 12,
        "description": "Square end mill, carbide",
        "nominal": inch(0.25),
        "diameter": inch(0.2408),
        "difference": inch(-0.0092),
        "clearance": Clearance(Angle(1200), inch(0.0034), inch(0.02, 3)),
        "runout": inch(0.0003),
        "usable_length": inch(0.678, 3),
        "overall_length": inch(2.486, 3),
        "teeth": 3,
        "corner": "now square",
        "coating": "ground off on the flank",
        "times_reground": 2,
    }
    return ReturnLabel(number, DAY, **{"shop": "Hollis Tool Grinding"} | values | changes)


def a_drill(number="418-1", **changes):
    values = {
        "diameter": inch(0.201),
        "point": Angle(11800, 0),
        "overall_length": inch(3.625, 3),
        "part_number": "DR-7",
        "times_reground": 1,
        "pieces": 3,
    }
    return DrillLabel(number, DAY, **{"shop": "Hollis Tool Grinding"} | values | changes)


def a_not_ground(number="417-3-9", **changes):
    values = {"why": "Chip reaches too far back", "diameter": inch(0.2471), "part_number": "EM-0250-3F"}
    return NotGroundLabel(number, DAY, **{"shop": "Hollis Tool Grinding"} | values | changes)


def an_arrival(number="419-2", **changes):
    values = {
        "customer": "Brightwater Pump Works",
        "order_number": "PO 88123",
        "pieces": 12,
        "due": date(2025, 12, 1),
        "rush": True,
        "description": "12 x 1/4 3fl",
    }
    return ArrivalTag(number, DAY, **{"shop": "Hollis Tool Grinding"} | values | changes)


MAKERS = [a_return, a_drill, a_not_ground, an_arrival]
