"""The columns of the families page and of its CSV table: each is declared here, once, with its title, its
order, its figure and the pieces behind it. DEVELOPERS.md says how to add one."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.template.defaultfilters import floatformat

from regrind.geometry.units import Unit, show

from .rows import Row
from .verdicts import FEW, LOTS, NOT, PRICE, WORTH
from .words import say_changes, say_count, say_listed, say_minutes, say_money, say_share, say_stock

Headed = tuple[str, Callable[[Row], Any]]  # a title and its value, for the CSV table
NOTHING = float("-inf")
# From the most to the least worth regrinding; families with too few cases are between.
VERDICT_ORDER = (WORTH, LOTS, FEW, PRICE, NOT)


@dataclass(frozen=True)
class Cell:
    """One cell of the page's table. label: its title, where the table is stacked on a small screen.
    opens: the end of the address that lists the pieces behind it, None where there are none. beside: remarks."""

    label: str
    text: str
    opens: str | None
    beside: tuple[str, ...]


@dataclass(frozen=True)
class Column:
    """A figure of a family.

    key: names the order in the address. value: sorted by, the largest first; None where there is none, shown as
    `empty`. say: the value in words. result: the code of the pieces behind it
    (`pieces.NARROWED`), "" for all, None where no link leads to them. table: its columns in the CSV table.
    beside: remarks, in the shop's unit.
    """

    key: str
    title: str
    value: Callable[[Row], float | None]
    say: Callable[[float, Unit], str]
    result: str | None
    table: tuple[Headed, ...]
    beside: Callable[[Row, Unit], tuple[str, ...]] = lambda row, unit: ()
    empty: str = "–"

    def cell(self, row: Row, unit: Unit) -> Cell:
        value, beside = self.value(row), self.beside(row, unit)
        if value is None:
            return Cell(self.title.lower(), self.empty, None, beside)
        opens = f"&result={self.result}" if self.result else self.result
        return Cell(self.title.lower(), self.say(value, unit), opens, beside)

    def order(self, row: Row) -> float:
        value = self.value(row)
        return -(NOTHING if value is None else value)


def _money(minor: float, unit: Unit) -> str:
    return say_money(minor)


def _count(number: float, unit: Unit) -> str:
    return say_count(int(number))


def _tenths(number: float, unit: Unit) -> str:
    return floatformat(number, 1)


def _major(minor: float | None) -> float | None:
    return None if minor is None else minor / 100


def _good_beside(row: Row, unit: Unit) -> tuple[str, ...]:
    if not row.sums.decided:
        return ()
    within, counted = row.good_within, f"{say_count(row.sums.good)} of {say_count(row.sums.decided)} finished"
    return (
        f"{say_share(within.low)} – {say_share(within.high)}",
        counted,
        *([f"{row.trend} than before"] if row.trend in ("better", "worse") else []),
    )


def _stock_beside(row: Row, unit: Unit) -> tuple[str, ...]:
    if not row.sums.stock_n:
        return ()
    shown = show(round((row.sums.stock.deviation or 0) / 2), unit)
    spread = f"± {shown}, " if shown != show(0, unit) else ""
    return (f"{spread}{say_count(row.sums.stock_n)} measured",)


def _minutes_beside(row: Row, unit: Unit) -> tuple[str, ...]:
    return (f"lots of {floatformat(row.minutes.lot, 0)}",) if row.minutes else ()


def _earns_beside(row: Row, unit: Unit) -> tuple[str, ...]:
    """What the verdict counts with, where that is the list's price of today and not what was charged."""
    earns = row.plain.earns if row.plain else None
    return (f"{say_money(earns)} at the list price now",) if row.listed_minor is not None and earns is not None else ()


def _price_beside(row: Row, unit: Unit) -> tuple[str, ...]:
    return say_listed(row.listed_minor, row.charged_verdict)


COLUMNS = (
    Column(
        "earns",
        "Earned per minute",
        lambda row: row.earns_minor,
        _money,
        "earning",
        (("earned per bench minute", lambda row: _major(row.earns_minor)),),
        beside=_earns_beside,
    ),
    Column(
        "saves",
        "Saved per tool",
        lambda row: row.saves_minor,
        _money,
        "replaced",
        (("saved per tool", lambda row: _major(row.saves_minor)),),
    ),
    Column(
        "received",
        "Received",
        lambda row: row.sums.received,
        _count,
        "",
        (
            ("received", lambda row: row.sums.received),
            ("finished", lambda row: row.sums.decided),
            ("ground", lambda row: row.sums.ground),
        ),
    ),
    Column(
        "good",
        "Good",
        lambda row: row.good_share,
        lambda share, unit: say_share(share),
        "good",
        (
            ("good", lambda row: row.sums.good),
            ("good from", lambda row: row.good_within.low),
            ("good to", lambda row: row.good_within.high),
            ("passed the first check", lambda row: row.sums.released_first),
            ("sent back by a check", lambda row: row.sums.sent_back),
        ),
        beside=_good_beside,
    ),
    Column(
        "stock",
        "Stock per regrind",
        lambda row: row.stock_nm,
        lambda nm, unit: say_stock(nm, unit)[0],
        "stock",
        (("stock off the radius, mm", lambda row: None if row.stock_nm is None else row.stock_nm / 2e6),),
        beside=_stock_beside,
    ),
    Column(
        "regrinds",
        "Regrinds so far",
        lambda row: row.regrinds_before,
        _tenths,
        "counted",
        (("regrinds so far", lambda row: row.regrinds_before),),
    ),
    Column(
        "left",
        "Regrinds left",
        lambda row: row.regrinds_left,
        lambda number, unit: f"about {_tenths(number, unit)}",
        "left",
        (("regrinds left", lambda row: row.regrinds_left),),
    ),
    Column(
        "minutes",
        "Minutes",
        lambda row: row.minutes_hundredths,
        lambda each, unit: say_minutes(each),
        "timed",
        (
            ("minutes", lambda row: _major(row.minutes_hundredths)),
            ("pieces per setup", lambda row: row.minutes.lot if row.minutes else None),
        ),
        beside=_minutes_beside,
    ),
    Column(
        "wheel",
        "Wheel",
        lambda row: row.wheel_each_minor,
        _money,
        "ground",
        (("wheel", lambda row: _major(row.wheel_each_minor)),),
    ),
    Column(
        "price",
        "Charged so far",
        lambda row: row.price_minor,
        _money,
        "charged",
        (
            ("charged so far", lambda row: _major(row.price_minor)),
            ("list price now", lambda row: _major(row.rates.price_minor if row.rates else None)),
        ),
        beside=_price_beside,
    ),
    Column(
        "complaints",
        "Complaints",
        lambda row: row.sums.complained or None,
        _count,
        "complained",
        (("complaints", lambda row: row.sums.complained),),
        empty="0",
    ),
)

# How the rows may be ordered, by the word for it in the address.
SORTS: dict[str, Callable[[Row], float]] = {
    "family": lambda row: 0,
    "verdict": lambda row: VERDICT_ORDER.index(row.verdict.code) if row.verdict else len(VERDICT_ORDER),
    **{column.key: column.order for column in COLUMNS},
}


@dataclass(frozen=True)
class Head:
    """A title of the families table, which sorts by it."""

    title: str
    link: str
    key: str
    sorted_by: bool

    @property
    def is_number(self) -> bool:
        return self.key not in ("family", "verdict")

    @property
    def order(self) -> str:
        """The value of aria-sort; empty where the table is sorted by another column."""
        return ("descending" if self.is_number else "ascending") if self.sorted_by else ""


HEADS = (("family", "Family"), ("verdict", "Worth regrinding"), *((column.key, column.title) for column in COLUMNS))

TABLE: tuple[Headed, ...] = (
    ("family", lambda row: str(row.family)),
    ("worth regrinding", lambda row: row.verdict.words if row.verdict else ""),
    ("changed by", lambda row: say_changes(row.verdict) if row.verdict else ""),
    *(headed for column in COLUMNS for headed in column.table),
    ("trend", lambda row: row.trend),
    ("reasons for not regrinding", lambda row: "; ".join(f"{line.key} ({line.n})" for line in row.reasons)),
)
