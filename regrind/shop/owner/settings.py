"""The shop's one row of settings."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from regrind.geometry.units import Unit

from ..models import ShopSettings

# What a shop that works in millimetres would round to: common practice, like the inch shop's own defaults.
METRIC_NM = {"size_step": 100_000, "finish_radial": 10_000, "finish_end": 50_000, "stylus_distance": 1_500_000}


def usual_lengths(unit: Unit) -> dict[str, int]:
    """The step between sizes and the allowances in nm that a shop of this unit begins with."""
    return METRIC_NM if unit == "mm" else {name: getattr(ShopSettings(), f"{name}_nm") for name in METRIC_NM}


# The row as a request read it first; no list where no request is being answered.
_read: ContextVar[list[ShopSettings] | None] = ContextVar("the settings that a request read", default=None)


@contextmanager
def read_once() -> Iterator[None]:
    """Within it the settings are read from the database once: for one request."""
    token = _read.set([])
    try:
        yield
    finally:
        _read.reset(token)


def forget_settings() -> None:
    """Read them anew: they have been changed."""
    if read := _read.get():
        read.clear()


def shop_settings() -> ShopSettings:
    """The shop's settings; the defaults (unsaved) until the owner has saved them."""
    read = _read.get()
    if read:
        return read[0]
    settings = ShopSettings.objects.order_by("pk").first() or ShopSettings()
    if read is not None:
        read.append(settings)
    return settings
