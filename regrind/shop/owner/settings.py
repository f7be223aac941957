"""The shop's one row of settings."""

from ..models import ShopSettings


def shop_settings() -> ShopSettings:
    """The shop's settings; the defaults (unsaved) until the owner has saved them."""
    return ShopSettings.objects.order_by("pk").first() or ShopSettings()
