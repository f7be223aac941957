"""The rows of the price list that hold on a day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from regrind.record.kinds import CHOICES
from regrind.record.models import Rate
from regrind.record.rates import BAND, Band, Scope, as_scope
from regrind.shop.fields.exact_lengths import exact_text
from regrind.shop.owner.settings import shop_settings

from .works import WORKS, Work

KIND_WORDS = dict(CHOICES)
LISTED = {code for code, _ in WORKS}
Key = tuple[Scope, str, str]


@dataclass(frozen=True)
class Entry:
    """One row of the list: its newest rate, and that in words."""

    rate: Rate
    band: Band
    family: str = ""  # its name

    @property
    def work(self) -> Work:
        return self.rate.what, self.rate.operation

    @property
    def key(self) -> Key:
        return (as_scope(self.band), *self.work)

    @property
    def words(self) -> str:
        return WORKS.get(self.work, self.rate.operation)

    @property
    def tool(self) -> str:
        """`end mill, square, over 6 mm up to 10 mm, 4 teeth`; "any tool" where it holds for all."""
        return tool_words(self.band, self.family)

    @property
    def amount(self) -> str:
        minor = self.rate.amount or 0
        return f"{minor // 100}.{minor % 100:02d}"


def tool_words(band: Band, family: str = "") -> str:
    """Which tools a band holds, in words; family: the name of its family."""
    unit = shop_settings().unit
    size = _range(exact_text(band.over_nm, unit), exact_text(band.up_to_nm, unit))
    parts = [family or KIND_WORDS.get(band.kind, "any tool"), size, teeth_words(band)]
    return ", ".join(part for part in parts if part)


def _range(over: str, up_to: str) -> str:
    return " ".join(part for part in (over and f"over {over}", up_to and f"up to {up_to}") if part)


def teeth_words(band: Band) -> str:
    """`4 teeth`, `2 to 4 teeth`, `6 teeth or more`; empty where any number fits."""
    least, most = band.teeth_from, band.teeth_to
    if least is None and most is None:
        return ""
    if least == most:
        return f"{least} teeth"
    if most is None:
        return f"{least} teeth or more"
    return f"{least} to {most} teeth" if least else f"up to {most} teeth"


def entries_on(day: date) -> list[Entry]:
    """The list as it holds on a day, families last; a row that was ended by then is not on it. One query."""
    rows = Rate.objects.filter(what__in=LISTED, from_day__lte=day).select_related("family", "customer", "event__by")
    newest = {(*(getattr(row, name) for name in BAND), row.what, row.operation): row for row in _in_order(rows)}
    unit = shop_settings().unit
    entries = [
        Entry(row, Band(*(getattr(row, name) for name in BAND)), row.family.name(unit) if row.family else "")
        for row in newest.values()
        if row.amount is not None
    ]
    return sorted(entries, key=_place)


def _in_order(rows: Iterable[Rate]) -> list[Rate]:
    return sorted(rows, key=lambda row: (row.from_day, row.pk))


def _place(entry: Entry) -> tuple[str, ...]:
    """The list's own rows, then customers, then families; kinds, sizes and works in order within each."""
    rate, band = entry.rate, entry.band
    order = list(WORKS).index(entry.work) if entry.work in WORKS else len(WORKS)
    whose = rate.customer.name if rate.customer else ""
    return (
        "2" if rate.family_id else "1" if whose else "0",
        whose,
        f"{list(KIND_WORDS).index(band.kind):03d}" if band.kind else "",
        f"{band.over_nm or 0:015d}",
        f"{band.teeth_from or 0:03d}",
        f"{order:03d}",
    )


def newest_entry() -> int:
    """The last rate entered of the list, whatever its scope: what a page saw."""
    return Rate.objects.filter(what__in=LISTED).order_by("-pk").values_list("pk", flat=True).first() or 0


def standing(day: date) -> dict[Key, int | None]:
    """The amounts of the list on a day, by scope, what and operation."""
    return {entry.key: entry.rate.amount for entry in entries_on(day)}
