"""The shop's one row of settings."""

from ..models import ShopSettings


def letterhead() -> ShopSettings:
    """Return the shop's letterhead; before the owner has written one, the default (unsaved)."""
    return ShopSettings.objects.order_by("pk").first() or ShopSettings()
