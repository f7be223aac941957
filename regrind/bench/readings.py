"""Readings: as they are typed, as rows to be stored, fetched for many rows at once, and asked for in SQL."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Case, OuterRef, Q, QuerySet, Subquery, When
from django.db.models.expressions import CombinedExpression
from django.utils import timezone

from regrind.geometry.relief import Way, find_relief
from regrind.geometry.units import Typed
from regrind.shop.models import Gauge

from .kinds import measures
from .models import Inspection, MeasuredRow, Reading

DEGREES = "deg"
OF_DEEPEST = ("damage_depth", "reach")  # of the deepest damage: they name its tooth where it is known
BY_MICROMETER = (
    "diameter",
    "back_diameter",
    "core",
    "flute_length",
    *measures.BY_MICROMETER,
)  # the rest by an indicator or by eye
# Along the tool, or straight across its end: off no gauge that is named.
BY_EYE = (
    *("reach", "drop_over", "overall", "gash_length", "from", "to", "end_drop_over", "recess"),
    *measures.BY_EYE,
)


@dataclass(frozen=True)
class Angle:
    """An angle as it was typed, in hundredths of a degree."""

    cdeg: int
    text: str


@dataclass(frozen=True)
class Mark:
    """A mark of damage as it was typed. number: from 1; start: None is the end face; depth or wear_land is given."""

    number: int
    tooth: int
    to: Typed
    start: Typed | None = None
    depth: Typed | None = None
    wear_land: Typed | None = None
    description: str = ""

    def lengths(self) -> dict[str, Typed]:
        """What was typed of it, by the name of its reading."""
        every = {"from": self.start, "to": self.to, "depth": self.depth, "wear_land": self.wear_land}
        return {quantity: typed for quantity, typed in every.items() if typed is not None}


@dataclass(frozen=True)
class Entry:
    """One value as it was typed, and where on the tool (see `Reading`)."""

    quantity: str
    value: Typed | Angle
    tooth: int = 0
    mark: int = 0
    description: str = ""


def list_entries(
    typed: Mapping[str, Typed],
    angles: Mapping[str, Angle],
    each_tooth: Sequence[Typed] = (),
    marks: Sequence[Mark] = (),
    deepest_tooth: int = 0,
    each_end_tooth: Sequence[Typed] = (),
    by_tooth: Mapping[int, Mapping[str, Typed]] | None = None,
) -> list[Entry]:
    """Everything that was typed, in one list.

    each_tooth, each_end_tooth: the reading of every tooth, from tooth 1 on, round the sides and at the end.
    deepest_tooth: on which the deepest damage is, 0 unknown. by_tooth: of some teeth, what was read of each by name.
    """
    plain: dict[str, Typed | Angle] = {**typed, **angles}
    return [
        *(Entry(name, value, tooth=deepest_tooth if name in OF_DEEPEST else 0) for name, value in plain.items()),
        *(Entry("tooth", value, tooth=n) for n, value in enumerate(each_tooth, start=1)),
        *(Entry("end_tooth", value, tooth=n) for n, value in enumerate(each_end_tooth, start=1)),
        *(Entry(name, value, tooth=n) for n, read in (by_tooth or {}).items() for name, value in read.items()),
        *(
            Entry(quantity, value, mark.tooth, mark.number, mark.description)
            for mark in marks
            for quantity, value in mark.lengths().items()
        ),
    ]


def make_reading(row: MeasuredRow, entry: Entry, gauge: Gauge | None) -> Reading:
    """A reading of an inspection or a final check, its gauge's resolution and calibration copied as they are.

    A length that the gauge cannot span was read with another: then none is recorded.
    """
    length_nm = entry.value.nm if isinstance(entry.value, Typed) else None
    gauge = gauge if gauge and gauge.spans(length_nm) else None
    owner: dict[str, Any] = {"inspection" if isinstance(row, Inspection) else "final_check": row}
    value = (
        {"nm": entry.value.nm, "unit": entry.value.unit}
        if isinstance(entry.value, Typed)
        else {"cdeg": entry.value.cdeg, "unit": DEGREES}
    )
    from_gauge: dict[str, Any] = (
        {}
        if gauge is None
        else {
            "gauge": gauge,
            "gauge_name": gauge.name,
            "resolution_nm": gauge.resolution_nm,
            "uncertainty_nm": gauge.uncertainty_nm,
            "calibration": gauge.state(timezone.localdate(row.done_at)),
        }
    )
    return Reading(
        quantity=entry.quantity,
        tooth=entry.tooth,
        mark=entry.mark,
        description=entry.description,
        text=entry.value.text,
        event_id=row.event_id,
        **owner,
        **value,
        **from_gauge,
    )


def spread_of(reading: Reading) -> float:
    """Standard uncertainty in nm: its gauge's own, and its resolution over the root of twelve."""
    return math.hypot(reading.uncertainty_nm or 0, (reading.resolution_nm or 0) / math.sqrt(12))


def gauge_for(entry: Entry, gauge: Gauge | None, indicator: Gauge | None) -> Gauge | None:
    """What an entry of an inspection was read with."""
    if isinstance(entry.value, Angle) or entry.quantity in BY_EYE:
        return None
    return gauge if entry.quantity in BY_MICROMETER else indicator


def last_gauges(*some: QuerySet[Reading]) -> dict[str, int]:
    """The gauges named last: for diameters and the like, and for the rest; of the first of these that name one."""
    gauges: dict[str, int] = {}
    for rows in some:
        named = rows.filter(gauge__in_use=True).order_by("-pk")
        for name, readings_of_gauge in (
            ("gauge", named.filter(quantity__in=BY_MICROMETER)),
            ("indicator", named.exclude(quantity__in=BY_MICROMETER)),
        ):
            gauge = None if name in gauges else readings_of_gauge.values_list("gauge", flat=True).first()
            if gauge:
                gauges[name] = gauge
    return gauges


def fetch_readings(rows: Iterable[MeasuredRow]) -> None:
    """Fetch the readings of these rows, and of those that they follow, in one query."""
    every = [one for row in rows for one in row.with_original()]
    read: dict[tuple[str, int], dict[str, Reading]] = {(row.reading_key, row.pk): {} for row in every}
    which = (Q(**{f"{owner}__in": [pk for key, pk in read if key == owner]}) for owner in {key for key, _ in read})
    for reading in Reading.every.filter(Q(*which, _connector=Q.OR)).order_by("pk") if read else ():
        owner = "inspection" if reading.inspection_id else "final_check"
        read[owner, reading.inspection_id or reading.final_check_id or 0][reading.field] = reading
    for row in every:
        row.readings = read[row.reading_key, row.pk]


def length_reading(quantity: str, **owner_path: str) -> Subquery:
    """In SQL, the length `quantity` of no mark as it was read on a row, in nm, null where it was not.

    owner_path: `inspection="pk"` in a query of inspections, `final_check="pk"` in one of checks, or a path to one.
    """
    [(owner, path)] = owner_path.items()
    return Subquery(Reading.every.filter(**{owner: OuterRef(path)}, quantity=quantity, mark=0).values("nm")[:1])


def diameter_before(plan: str = "grind__plan") -> Case:
    """In SQL, the diameter that was measured on the piece itself before its plan, null where it was not."""
    return Case(
        When(
            **{f"{plan}__inspection__diameter_source": "measured"},
            then=length_reading("diameter", inspection=f"{plan}__inspection"),
        ),
        default=None,
    )


def diameter_loss() -> CombinedExpression:
    """In SQL, of a final check: what the diameter lost, as it was measured before and after; null where one was not."""
    return diameter_before() - length_reading("diameter", final_check="pk")


def relief_of_drop(drop: Typed, over: Typed, way: str, diameter: Typed) -> int:
    """The primary relief in hundredths of a degree. way: of the distance, '' for along the tangent.

    Raises geometry's Refused where no relief gives that drop.
    """
    return round(math.degrees(find_relief(drop.mm, over.mm, Way(way or "tangent"), diameter.mm / 2)) * 100)


def end_relief_of_drop(drop: Typed, over: Typed) -> int:
    """The end relief in hundredths of a degree of a drop taken straight across an end tooth: atan(drop / over)."""
    return round(math.degrees(math.atan(drop.mm / over.mm)) * 100)


def each_mark(row: MeasuredRow) -> Iterator[dict[str, Reading]]:
    """The readings of each mark, by quantity, in the order of their numbers."""
    marks: dict[int, dict[str, Reading]] = {}
    for reading in row.readings.values():
        if reading.mark:
            marks.setdefault(reading.mark, {})[reading.quantity] = reading
    yield from (marks[number] for number in sorted(marks))
