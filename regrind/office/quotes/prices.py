"""The price of a piece as the customer agreed to it."""

from collections.abc import Sequence

from django.db.models import QuerySet

from regrind.record.models import Piece

from ..quote_models import QuoteAnswer


def quoted_prices(pieces: Sequence[Piece]) -> dict[int, int]:
    """What the regrind of a piece costs as the customer agreed to it, by piece id; pieces without a quote left out."""
    return {row.quote_piece.piece_id: row.minor for row in agreed_prices(pieces) if row.minor is not None}


def agreed_prices(pieces: Sequence[Piece]) -> QuerySet[QuoteAnswer]:
    """The standing answers to quotes of these pieces, the newest last."""
    return QuoteAnswer.objects.filter(quote_piece__piece__in=pieces).select_related("quote_piece").order_by("pk")
