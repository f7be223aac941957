"""What every small form about one line shares."""

from collections.abc import Sequence
from typing import Any

from django import forms

from regrind.record.models import Line, Piece
from regrind.shop.fields import unit_choices
from regrind.shop.fields.forms import ShopForm
from regrind.shop.models import Person

WIDE = ("reason", "into", "note")


class LineActionForm(ShopForm):
    """Something done to a line. title and verb: the page's words; about: one sentence of what will happen."""

    title = verb = about = ""

    def __init__(self, *args: Any, line: Line, pieces: Sequence[Piece], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.line, self.by_id = line, {str(piece.pk): piece for piece in pieces}
        if "pieces" in self.fields:
            boxes = self.fields["pieces"]
            assert isinstance(boxes, forms.MultipleChoiceField)
            boxes.choices = [(key, piece.short) for key, piece in self.by_id.items()]
        unit_choices.apply_units(self, f"line:{line.pk}", line.batch.customer.unit)

    @staticmethod
    def fits(piece: Piece) -> bool:
        return True

    def shown_fields(self) -> list[tuple[forms.BoundField, bool]]:
        """The fields in their order, and whether each takes the whole width; pieces and version stand apart."""
        return [(bound, bound.name in WIDE) for bound in self if bound.name not in ("pieces", "version")]

    def chosen(self) -> list[Piece]:
        return [self.by_id[key] for key in self.cleaned_data["pieces"]]

    def act(self, by: Person) -> None:
        raise NotImplementedError
