"""What a new shop sets up, in the order it is needed, until all is done or the owner hides it."""

from collections.abc import Callable
from typing import NamedTuple

from django.urls import reverse

from regrind.paper.values import STOCKS
from regrind.record.models import Batch, Rate
from regrind.shop.backups import attempts
from regrind.shop.models import Gauge, Person, ShopSettings, Wheel, WorkHolding
from regrind.shop.owner.settings import shop_settings


class Link(NamedTuple):
    words: str
    address: str


class Step(NamedTuple):
    """One thing to set up. why: what it is for, and what holds until then."""

    name: str
    why: str
    done: bool
    links: tuple[Link, ...]


def first_steps() -> list[Step]:
    """All steps, in order; ten queries at most."""
    shop = shop_settings()
    return [make(shop) for make in STEPS]


def waiting(steps: list[Step], shop: ShopSettings) -> bool:
    """Whether Today still shows them to the owner."""
    return not shop.first_steps_hidden and not all(step.done for step in steps)


def _name(shop: ShopSettings) -> Step:
    why = "They stand at the head of every paper. Until the shop has its name, no paper is printed."
    return Step("Name and address", why, shop.named and bool(shop.address), (_settings("Write them"),))


def _units(shop: ShopSettings) -> Step:
    why = "The unit decides the usual step between sizes. The first box can go on from your old books."
    links = (_settings("Check them"), Link("Set the time zone", reverse("shop:program")))
    return Step("Unit, paper, currency, first number, time zone", why, shop.pk is not None, links)


def _people(shop: ShopSettings) -> Step:
    why = "Everyone signs in by name, so that the record says who did what. A PIN is enough on an enrolled tablet."
    done = Person.objects.filter(is_active=True).count() > 1
    links = (_page("Add people", "shop:people"), _page("Enrol a tablet", "shop:tablets"))
    return Step("People and PINs", why, done, links)


def _gauges(shop: ShopSettings) -> Step:
    why = "Each reading says what it was taken with. Papers show the calibration, and round to what it reads."
    return Step("Instruments", why, Gauge.objects.exists(), (_page("Add instruments", "bench:gauges"),))


def _wheels(shop: ShopSettings) -> Step:
    why = "A wheel carries its maker's largest speed. Setup cards and speed checks read it from here."
    links = (_page("Add wheels", "bench:wheels"), _page("Add work holding", "bench:holdings"))
    return Step("Wheels and work holding", why, Wheel.objects.exists() and WorkHolding.objects.exists(), links)


def _prices(shop: ShopSettings) -> Step:
    why = "Each line then proposes its price, and the plan says whether a regrind is worth it."
    return Step("Prices", why, Rate.objects.exists(), (_page("Open prices and costs", "office:rates"),))


def _labels(shop: ShopSettings) -> Step:
    why = "Print one, scan its code, and measure it: it must come out at its own size, without scaling."
    address = reverse("office:test_label")
    links = tuple(Link(stock.name, f"{address}?stock={key}") for key, stock in STOCKS.items())
    return Step("A test label", why, Batch.objects.exists(), links)


def _backups(shop: ShopSettings) -> Step:
    why = "One is made each night. Name a second disk, or take a copy away from the machine."
    return Step("Backups", why, attempts.proven(), (_page("Open the backups", "shop:backups"),))


def _box(shop: ShopSettings) -> Step:
    why = "Like tools are logged as one line."
    return Step("The first box", why, Batch.objects.exists(), (_page("Receive a box", "receiving:new"),))


def _page(words: str, name: str) -> Link:
    return Link(words, reverse(name))


def _settings(words: str) -> Link:
    return _page(words, "shop:settings")


STEPS: tuple[Callable[[ShopSettings], Step], ...] = (
    _name,
    _units,
    _people,
    _gauges,
    _wheels,
    _prices,
    _labels,
    _backups,
    _box,
)
