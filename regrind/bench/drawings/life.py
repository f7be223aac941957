"""A followed tool's life: its diameter at each visit, as received and as returned, and the limit that it nears."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.dateformat import format as date_format
from django.utils.safestring import SafeString

from regrind.geometry.units import Unit, show_with_unit
from regrind.shop.web import svg

STEP, LEFT, RIGHT, TOP, BOTTOM, HEIGHT = 128, 96, 96, 40, 56, 300


@dataclass(frozen=True)
class Visit:
    """One visit: the day, its diameter as received and as returned in nm, None where nobody measured it."""

    day: date
    received_nm: int | None
    returned_nm: int | None


def draw_life(visits: Sequence[Visit], limit_nm: int | None, unit: Unit) -> SafeString | None:
    """Visits to the right, diameter upwards: down at each regrind, along between visits. None under two diameters."""
    sizes = [nm for visit in visits for nm in (visit.received_nm, visit.returned_nm) if nm is not None]
    if len(sizes) < 2 or max(sizes) == min([*sizes, limit_nm or max(sizes)]):
        return None
    low, high = min([*sizes, limit_nm or max(sizes)]), max(sizes)
    width = LEFT + STEP * (len(visits) - 1) + STEP // 2 + RIGHT

    def up(nm: int) -> float:
        return TOP + (HEIGHT - TOP - BOTTOM - 28) * (high - nm) / (high - low)

    parts = [
        svg.line((LEFT - 24, TOP - 24), (LEFT - 24, HEIGHT - BOTTOM), "axis"),
        svg.line((LEFT - 24, HEIGHT - BOTTOM), (width - 8, HEIGHT - BOTTOM), "axis"),
        svg.text((LEFT - 32, TOP - 16), "diameter", anchor="end", look="note"),
    ]
    if limit_nm is not None:
        parts += [
            svg.line((LEFT - 24, up(limit_nm)), (width - 8, up(limit_nm)), "limit"),
            svg.text((LEFT - 16, up(limit_nm) + 18), f"smallest {_say(limit_nm, unit)}", look="note halo"),
        ]
    parts += _trace(visits, up)
    for n, visit in enumerate(visits):
        parts += _labels(LEFT + STEP * n, visit, up, unit)
    return svg.wrap(width, HEIGHT, f"Diameter over {len(visits)} visits", parts)


def _trace(visits: Sequence[Visit], up: Callable[[int], float]) -> list[SafeString]:
    """The line down and along, an open spot as received, a dyed one as returned."""
    line: list[svg.Point] = []
    spots: list[SafeString] = []
    for n, visit in enumerate(visits):
        x = LEFT + STEP * n
        for nm, look in ((visit.received_nm, "spot"), (visit.returned_nm, "dye")):
            if nm is not None:
                line.append((x, up(nm)))
                spots.append(svg.circle(line[-1], 6, look))
    return [svg.path(line, "was", closed=False), *spots]


def _labels(x: float, visit: Visit, up: Callable[[int], float], unit: Unit) -> list[SafeString]:
    """The day below; beside the spot the diameter it was returned with, else that it was received with."""
    parts = [
        svg.text((x, HEIGHT - BOTTOM + 22), date_format(visit.day, "j M"), anchor="middle", look="note"),
        svg.text((x, HEIGHT - BOTTOM + 40), date_format(visit.day, "Y"), anchor="middle", look="note"),
    ]
    nm = visit.returned_nm if visit.returned_nm is not None else visit.received_nm
    if nm is not None:
        parts.append(svg.text((x + 12, up(nm) - 8), _say(nm, unit)))
    return parts


def _say(nm: int, unit: Unit) -> str:
    return show_with_unit(nm, unit)
