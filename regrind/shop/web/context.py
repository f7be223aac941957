"""The context of every template: settings, rooms, search."""

from django.conf import settings
from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.functional import SimpleLazyObject

from regrind.version import VERSION

from ..handbook.pages import address_of, page_for
from ..owner.settings import shop_settings
from ..people.tablet_login import carries_token
from ..posts.idempotency import person_of

# name, address, the roles that see it in the bar
ROOMS = [
    ("Today", "today:page", ()),
    ("Receiving", "receiving:batches", ("front_desk", "bench")),
    ("Bench", "bench:page", ("bench",)),
    ("Office", "office:page", ("front_desk",)),
    ("Families", "review:families", ("owner",)),
    ("Bench book", "calculators:index", ()),
    ("Shop", "shop:settings", ("owner",)),
]
# Pages that belong to the shop's settings, wherever their address lies: their trail begins there.
SHOP_PAGES = ("shop:people", "shop:tablets", "shop:backups", "office:rates")


def shop(request: HttpRequest) -> dict[str, object]:
    return {
        "on_tablet": SimpleLazyObject(lambda: carries_token(request)),
        "shop_settings": SimpleLazyObject(shop_settings),
        "demo": settings.DEMO,
        "version": VERSION,
        "rooms": SimpleLazyObject(lambda: _rooms(request)),
        "search_address": _address("today:search"),
        "help_address": SimpleLazyObject(lambda: _help(request)),
    }


def _address(name: str) -> str:
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


def _help(request: HttpRequest) -> str:
    """The page of the handbook that fits the open page."""
    match = request.resolver_match
    return address_of(page_for(match.view_name if match else ""))


def _rooms(request: HttpRequest) -> list[dict[str, object]]:
    """The rooms that this person may open; the one that is open is marked."""
    shown: list[dict[str, object]] = []
    person = person_of(request)
    for name, url_name, roles in ROOMS:
        address = _address(url_name)
        if address and (not roles or any(person.may(role) for role in roles)):
            shown.append({"name": name, "address": address, "here": False})
    path = _address("shop:settings") if _is_of_the_shop(request.path) else request.path
    current = [room for room in shown if _is_in(path, str(room["address"]))]
    if current:
        max(current, key=lambda room: len(str(room["address"])))["here"] = True
    return shown


def _is_of_the_shop(path: str) -> bool:
    return any(_is_in(path, address) for name in SHOP_PAGES if (address := _address(name)))


def _is_in(path: str, address: str) -> bool:
    return path == address if address == "/" else path.startswith(address)
