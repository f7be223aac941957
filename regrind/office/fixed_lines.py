"""Fixed prices where lines change: a part keeps the price of its line, lines of different prices stay apart."""

from regrind.record.line_hooks import on_lines
from regrind.record.models import Line
from regrind.shop.events import Refusal
from regrind.shop.models import Event

from .charge_models import FixedPrice
from .charges import fixed_prices, fixed_terms
from .fixing import say_fixed


def _copy_to_part(splitting: Event, line: Line, part: Line) -> None:
    """The new line is fixed at what its pieces were fixed at."""
    if fixed_terms(line.batch) is None:
        return
    rows = FixedPrice.objects.filter(line=line).order_by("pk")
    FixedPrice.objects.bulk_create(
        [FixedPrice(event=splitting, line=part, item=row.item, minor=row.minor) for row in rows]
    )


def _refuse_different(line: Line, into: Line) -> None:
    fixed = fixed_terms(line.batch)
    if fixed is None:
        return
    prices = fixed_prices([line, into])
    if prices.get(line.pk) != prices.get(into.pk):
        raise Refusal(f"{say_fixed(fixed)} Lines {line.number} and {into.number} differ in price and stay apart.")


def _refuse_fixed(line: Line) -> None:
    fixed = fixed_terms(line.batch)
    if fixed is not None:
        raise Refusal(f"{say_fixed(fixed)} So line {line} stays in its batch.")


on_lines(split=_copy_to_part, merge=_refuse_different, move=_refuse_fixed)
