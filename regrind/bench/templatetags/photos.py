"""The photos of a line or a piece for any page that carries the panel."""

from django import template
from django.urls import reverse
from django.utils.http import urlencode

from regrind.record.models import Line, Piece

from ..models import Photo
from ..photographs import shown

register = template.Library()


@register.simple_tag
def photos_of(line: Line, piece: Piece | str | None = None) -> list[Photo]:
    """`{% photos_of line piece as photos %}`: one query."""
    return shown.photos_of(line, piece if isinstance(piece, Piece) else None)


@register.simple_tag
def photos_address(line: Line, piece: Piece | str | None = None, about: str = "") -> str:
    """`{% photos_address line piece about as address %}`: where a photo is added; about: what it would show."""
    query = {"about": about or "received"} | ({"piece": piece.short} if isinstance(piece, Piece) else {})
    return f"{reverse('bench:photos', args=[str(line)])}?{urlencode(query)}"
