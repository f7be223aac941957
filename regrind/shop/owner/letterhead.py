"""The shop's one row of settings."""

from ..models import Letterhead


def letterhead() -> Letterhead:
    """Return the shop's letterhead; before the owner has written one, the default (unsaved)."""
    return Letterhead.objects.order_by("pk").first() or Letterhead()
