"""The figures at the head of a family's page, each with the address of the pieces that it is of."""

from dataclasses import dataclass

from django.template.defaultfilters import floatformat

from regrind.geometry.units import Unit

from .rows import Row
from .what_if import Tried
from .words import say_count, say_listed, say_minutes, say_money, say_share, say_stock

UNKNOWN = "–"


@dataclass(frozen=True)
class Figure:
    """One figure in words. address: of its pieces, empty where there are none. remarks: smaller, below it."""

    label: str
    text: str
    address: str = ""
    remarks: tuple[str, ...] = ()


def family_figures(row: Row, tried: Tried, unit: Unit, link: str) -> list[Figure]:
    """Every figure of a family, in the order of the page. unit: of lengths. link: the address of the page."""
    return [*_good(row, link), *_money(row, link), *_tools(row, tried, unit, link), *_work(row, link)]


def _figure(label: str, text: str, known: bool, address: str, *remarks: str) -> Figure:
    return Figure(label, text, address, remarks) if known else Figure(label, UNKNOWN)


def _good(row: Row, link: str) -> list[Figure]:
    sums, within = row.sums, row.good_within
    good = _figure(
        f"Good, of {say_count(sums.decided)} finished",
        say_share(row.good_share),
        bool(sums.decided),
        f"{link}&result=good",
        f"{say_share(within.low)} – {say_share(within.high)}",
    )
    now, before = row.now, row.before
    last_year = (
        f"{say_count(now.good)} of {say_count(now.decided)} finished, "
        f"before {say_count(before.good)} of {say_count(before.decided)}"
    )
    trend = [Figure("Last year", row.trend, "", (last_year,))] if row.trend else []
    return [Figure("Received", say_count(sums.received), link or "?"), good, *trend]


def _money(row: Row, link: str) -> list[Figure]:
    earned, saved = row.earns_minor, row.saves_minor
    return [
        _figure("Earned per minute", say_money(earned), earned is not None, f"{link}&result=earning", *_say_sum(row)),
        _figure("Saved per tool", say_money(saved), bool(row.sums.saved_n), f"{link}&result=replaced"),
    ]


def _say_sum(row: Row) -> tuple[str, ...]:
    """How the verdict's earning comes out, at the share that is good now, and what share would be enough."""
    case = row.verdict.case if row.verdict else None
    if row.verdict is None or row.verdict.earns is None or case is None or case.minutes is None:
        return ()
    minutes, price = case.minutes.a_piece(case.in_lot), case.price or 0
    total = (
        f"for the verdict: ({say_money(price)} × {say_share(case.good_share)} of the ground good "
        f"− wheel {say_money(case.wheel)}) / {minutes:.1f} min = {say_money(row.verdict.earns)}"
    )
    rate = (case.rate or 0) / 60
    return total, f"the shop needs {say_money(rate)} a minute"


def _tools(row: Row, tried: Tried, unit: Unit, link: str) -> list[Figure]:
    sums = row.sums
    stock, stock_other = say_stock(row.stock_nm or 0, unit)
    cases = f"{say_count(sums.stock_n)} measured"
    taken = _figure("Stock per regrind, radial", stock, bool(sums.stock_n), f"{link}&result=stock", stock_other, cases)
    figures = [
        *([taken] if row.loses_diameter else []),
        _figure("Earlier regrinds", _tenths(row.regrinds_before), bool(sums.before_n), f"{link}&result=counted"),
        _figure("Regrinds left, about", _tenths(row.regrinds_left), bool(sums.left_n), f"{link}&result=left"),
    ]
    if tried.regrinds is not None:
        figures.append(Figure("Regrinds of a tool, about", _tenths(tried.regrinds)))
    return figures


def _work(row: Row, link: str) -> list[Figure]:
    sums, minutes, wheel = row.sums, row.minutes, row.wheel_each_minor
    lots = (f"lots of {_tenths(minutes.lot)}",) if minutes else ()
    each = say_minutes(row.minutes_hundredths or 0)
    complaints = f"{link}&result=complained" if sums.complained else ""
    return [
        _figure("Minutes per piece", each, bool(sums.minutes_n), f"{link}&result=timed", *lots),
        _figure("Wheel", say_money(wheel), wheel is not None, f"{link}&result=ground"),
        *_prices(row, link),
        Figure("Complaints", say_count(sums.complained), complaints),
    ]


def _prices(row: Row, link: str) -> list[Figure]:
    """What was charged so far, and apart from it the list's price of today."""
    listed = row.rates.price_minor if row.rates else None
    remarks = say_listed(row.listed_minor, row.charged_verdict)[1:]
    charged = say_money(row.price_minor)
    return [
        _figure("Charged so far", charged, bool(row.sums.charged_n), f"{link}&result=charged", *remarks),
        *([Figure("List price now", say_money(listed))] if listed is not None else []),
    ]


def _tenths(value: float | None) -> str:
    return floatformat(value, 1)
