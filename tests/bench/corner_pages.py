"""What tests of corners read off the bench's pages."""

from regrind.bench.grinding.card import set_up
from regrind.bench.grinding.card_sections import list_sections
from regrind.bench.grinding.machine import machine_of
from regrind.bench.grinding.prefill import aim
from regrind.bench.models import Plan
from regrind.bench.revisions import newest
from regrind.shop.models import ShopSettings


def options(at_bench, line) -> list[dict]:
    return at_bench.get(f"/bench/{line}/plan").context["group"].options


def card_of(line, piece):
    plans = newest(Plan, [piece])
    return set_up(aim([piece], plans)[0], None, machine_of(ShopSettings()), line.batch.customer.unit)


def figures(card, name: str) -> dict:
    section = next(section for section in list_sections(card) if section.name == name)
    return {figure.label: figure.nm if figure.nm is not None else figure.text for figure in section.figures}
