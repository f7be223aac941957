"""The photos of a line or a piece for any page that carries the panel."""

from django import template

from regrind.record.models import Line, Piece

from ..models import Photo
from ..photographs import shown

register = template.Library()


@register.simple_tag
def photos_of(line: Line, piece: Piece | str | None = None) -> list[Photo]:
    """`{% photos_of line piece as photos %}`: one query."""
    return shown.photos_of(line, piece if isinstance(piece, Piece) else None)
