"""Whether a regrind is worth it to the customer, in one sentence with figures."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from regrind.bench.models import Plan
from regrind.bench.planning.more_work import is_gash_passed
from regrind.bench.planning.parts import list_parts
from regrind.bench.planning.prices import OptionPrice
from regrind.bench.planning.words import join_words
from regrind.record.models import Line
from regrind.record.rates import read_rates

from .charges import asked_prices
from .proposals import PriceList, in_order
from .questions import say_after

COUNTS = ("no", "one", "two", "three", "four", "five", "six")


def say_worth(price_minor: int | None, new_minor: int | None, regrinds_left: int | None) -> str:
    """One sentence: what the regrind saves against a new tool and how many more the tool takes; amounts in minor units.

    >>> say_worth(1_750, 4_890, 2)
    'Saves 31.40 against new; two more regrinds to come.'
    """
    return f"{_saves(price_minor, new_minor)}{_to_come(regrinds_left)}."


def _saves(price_minor: int | None, new_minor: int | None) -> str:
    if price_minor is None:
        return "No price yet"
    if new_minor is None:
        return f"Costs {_money(price_minor)}; the price of a new one is not known"
    if new_minor > price_minor:
        return f"Saves {_money(new_minor - price_minor)} against new"
    if new_minor == price_minor:
        return "Costs as much as a new one"
    return f"Costs {_money(price_minor - new_minor)} more than a new one"


def _to_come(regrinds_left: int | None) -> str:
    if regrinds_left is None:
        return ""
    if not regrinds_left:
        return "; it is the last regrind"
    count = COUNTS[regrinds_left] if regrinds_left < len(COUNTS) else str(regrinds_left)
    return f"; {count} more {'regrind' if regrinds_left == 1 else 'regrinds'} to come"


def _money(minor: int) -> str:
    return f"{minor // 100}.{minor % 100:02d}"


@dataclass(frozen=True)
class Choice:
    """One way to grind a tool as the customer may hear it: what is ground, the size and length after, price, worth.

    way: as an answer names it, `grind:PLAN:OPTION`, or `grind` where nothing was worked out. beside_minor: what of the
    price is charged beside the regrind: a corner re-formed, the end gashed again.
    """

    way: str
    words: str
    after: str
    price_minor: int | None
    beside_minor: int
    worth: str


def choices_of(line: Line, plans: Sequence[Plan], price_list: PriceList | None = None) -> dict[int, list[Choice]]:
    """By plan, each option that it worked out, with the price of its work and whether it is worth it; a plan that was
    decided by hand has the one of what it says is ground. A fixed number of queries."""
    asked = price_list or PriceList([line.batch])
    return {plan.pk: _choices(line, plan, asked) for plan in plans}


def _choices(line: Line, plan: Plan, asked: PriceList) -> list[Choice]:
    root = cast(Plan, plan.copied_from or plan)
    options: list[dict[str, Any]] = json.loads(root.answer)["options"] if root.answer else []
    if not options:
        by_hand = {"grind": plan.grinds.split(), "regrinds_left": plan.regrinds_left}
        return [_choice(line, asked, "grind", by_hand)] if plan.grinds else []
    return [
        _choice(line, asked, f"grind:{root.pk}:{index}", option)
        for index, option in enumerate(options)
        if option.get("verdict") != "scrap"
    ]


def _choice(line: Line, asked: PriceList, way: str, option: Mapping[str, Any]) -> Choice:
    price, beside = price_option(line, asked, option)
    worth = _worth(line, asked, option, price)
    after = say_after(option, line.batch.customer.unit)
    return Choice(way, join_words(list_parts(option)), after, price, beside, worth)


def _worth(line: Line, asked: PriceList, option: Mapping[str, Any], price: int | None) -> str:
    return say_worth(price, asked.new_price(line), option.get("regrinds_left"))


def price_line_options(line: Line, options: Sequence[Mapping[str, Any]]) -> list[OptionPrice]:
    """The price of each option of a plan, and whether it is worth it."""
    book = read_rates(line.family_id, wide=False, customers=[line.batch.customer_id])
    asked = PriceList([line.batch], book)
    prices = [price_option(line, asked, option)[0] for option in options]
    return [
        OptionPrice(price, _worth(line, asked, option, price)) for price, option in zip(prices, options, strict=True)
    ]


def price_option(line: Line, asked: PriceList, option: Mapping[str, Any]) -> tuple[int | None, int]:
    """(what an option costs a piece, None where no price is known; what of it is charged beside the regrind). A price
    set by hand is for whatever is ground, one of the list is for the work."""
    parts = list_parts(option)
    work = in_order(parts, line.family.kind)
    prices = asked_prices(line, asked)
    corner = (prices.get("corner") or 0) if set(parts) - set(work.split()) else 0
    gash = (prices.get("gash") or 0) if is_gash_passed(option) else 0
    listed = None if line.price_by_id else asked.price(line, work).minor
    minor = line.unit_price_minor if listed is None else listed
    return (None if minor is None else minor + corner + gash), corner + gash
