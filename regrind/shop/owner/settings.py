"""The shop's one row of settings."""

from regrind.geometry.units import Unit

from ..models import ShopSettings

# What a shop that works in millimetres would round to: common practice, like the inch shop's own defaults.
METRIC_NM = {"size_step": 100_000, "finish_radial": 10_000, "finish_end": 50_000, "stylus_distance": 1_500_000}


def usual_lengths(unit: Unit) -> dict[str, int]:
    """The step between sizes and the allowances in nm that a shop of this unit begins with."""
    return METRIC_NM if unit == "mm" else {name: getattr(ShopSettings(), f"{name}_nm") for name in METRIC_NM}


def shop_settings() -> ShopSettings:
    """The shop's settings; the defaults (unsaved) until the owner has saved them."""
    return ShopSettings.objects.order_by("pk").first() or ShopSettings()
