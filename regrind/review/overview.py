"""The families page's picture: what a bench minute earns, by diameter, a dot for each family."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.html import format_html
from django.utils.safestring import SafeString

from regrind.geometry.units import Unit, show, show_with_unit
from regrind.shop.models import ShopSettings
from regrind.shop.web import svg

from .charts.frame import BOTTOM, HEIGHT, LABEL, LEFT, RIGHT, TOP, Axis, Chart, axis
from .charts.spread import NM
from .rows import Row
from .words import say_money

TITLE = "Earned a bench minute, by diameter"
WIDE = 720
SMALLEST, LARGEST = 4.0, 13.0


def draw_earnings(rows: Sequence[Row], shop: ShopSettings, link: str) -> Chart:
    """A dot's area is its number of ground pieces; dashed is the hourly rate. Each dot opens its family."""
    placed = [row for row in rows if row.earns_minor is not None and row.family and row.family.nominal_nm]
    if not placed:
        return Chart(
            TITLE,
            None,
            empty="No family has a price and bench minutes yet: record the minutes with each "
            "grind and the price with each line.",
        )
    unit = shop.unit
    rate = next((row.rates.hourly_minor for row in placed if row.rates and row.rates.hourly_minor), 0) / 60
    across = sizes([_nominal(row) for row in placed], unit)
    up = axis(
        [*(row.earns_minor or 0 for row in placed), rate], HEIGHT - BOTTOM, TOP, most=4, scale=100, from_zero=True
    )
    most = max(row.sums.ground for row in placed)
    dots = [_dot(row, across, up, most, link) for row in sorted(placed, key=lambda row: -row.sums.ground)]
    head = ("family", "diameter", "ground", "a minute")
    table = tuple(
        (str(row.family), show_with_unit(_nominal(row), unit), str(row.sums.ground), say_money(row.earns_minor))
        for row in placed
    )
    parts = [*_frame(across, up, unit), *mark_rate(rate, up), *dots]
    return Chart(
        TITLE,
        svg.wrap(WIDE, HEIGHT, TITLE, parts, role="group"),
        head,
        table,
        note="A dot is a family; the larger, the more of it was ground. Diameters stand at equal ratios.",
        links=tuple(f"{row.key}{link}" for row in placed),
    )


STEPS = {"in": tuple(2.0**k for k in range(-6, 7)), "mm": tuple(m * 10.0**k for k in (-1, 0, 1, 2) for m in (1, 2, 5))}


@dataclass(frozen=True)
class Sizes:
    """Diameters at equal ratios: half, once and twice a size stand equally far apart. In nm."""

    low: float
    high: float
    marks: tuple[float, ...]

    def place(self, nm: float) -> float:
        share = math.log(nm / self.low) / math.log(self.high / self.low)
        return LEFT + 16 + share * (WIDE - RIGHT - 32 - LEFT)


def sizes(diameters: Sequence[int], unit: Unit) -> Sizes:
    """From the mark at or below the smallest size to the one at or above the largest."""
    steps = [step * NM[unit] for step in STEPS[unit]]
    low = max((step for step in steps if step <= min(diameters)), default=min(diameters))
    high = min((step for step in steps if step >= max(diameters)), default=max(diameters))
    high = high if high > low else 2 * low
    return Sizes(low, high, tuple(step for step in steps if low <= step <= high))


def _nominal(row: Row) -> int:
    return (row.family.nominal_nm if row.family else None) or 0


def _frame(across: Sizes, up: Axis, unit: Unit) -> list[SafeString]:
    floor = HEIGHT - BOTTOM
    parts = [
        svg.line((LEFT, floor), (WIDE - RIGHT, floor), "axis"),
        svg.line((LEFT, TOP), (LEFT, floor), "axis"),
        svg.text((WIDE - RIGHT, HEIGHT - 22), f"nominal diameter, {unit}", size=LABEL, anchor="end", look="note"),
    ]
    for mark in across.marks:
        parts += [
            svg.line((across.place(mark), floor), (across.place(mark), floor + 5), "axis"),
            svg.text(
                (across.place(mark), floor + 20), show(round(mark), unit), size=LABEL, anchor="middle", look="note"
            ),
        ]
    for mark in up.marks:
        parts += [
            svg.line((LEFT, up.place(mark)), (WIDE - RIGHT, up.place(mark)), "grid"),
            svg.text((LEFT - 8, up.place(mark) + 5), say_money(mark), size=LABEL, anchor="end", look="note"),
        ]
    return parts


def mark_rate(rate: float, up: Axis) -> list[SafeString]:
    """The dashed line at the rate, minor units a minute; its words below the plot, where no dot lies on them."""
    if not rate:
        return []
    y = up.place(rate)
    return [
        svg.line((LEFT, y), (WIDE - RIGHT, y), "limit"),
        svg.text((LEFT, HEIGHT - 22), f"dashed: the hourly rate, {say_money(rate)} a minute", size=LABEL, look="note"),
    ]


def _dot(row: Row, across: Sizes, up: Axis, most: int, link: str) -> SafeString:
    radius = SMALLEST + (LARGEST - SMALLEST) * (row.sums.ground / most) ** 0.5
    centre = (across.place(_nominal(row)), up.place(row.earns_minor or 0))
    return format_html(
        '<a href="{}{}" aria-label="{}"><title>{}</title>{}</a>',
        row.key,
        link,
        f"{row.family}: {say_money(row.earns_minor)} a minute",
        str(row.family),
        svg.circle(centre, radius, "spot"),
    )
