"""The base of every bench form about some of a line's pieces, with the revisions that the page saw."""
from collections.abc import Sequence

from django import forms

from regrind.record.models import Line, Piece
from regrind.shop.forms import LengthText, ShopForm


class PiecesForm(ShopForm):
    pieces = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple, error_messages={
        "required": "Tick the pieces that are meant.", "invalid_choice": "A piece here has gone on meanwhile."})
    seen = forms.CharField(required=False, max_length=8000, widget=forms.HiddenInput)

    def __init__(self, *args, line: Line, pieces: Sequence[Piece], seen: dict[int, int], **kwargs):
        super().__init__(*args, **kwargs)
        self.line, self.by_id = line, {str(piece.pk): piece for piece in pieces}
        boxes = self.fields["pieces"]
        assert isinstance(boxes, forms.MultipleChoiceField)
        boxes.choices = [(key, piece.short) for key, piece in self.by_id.items()]
        boxes.initial = list(self.by_id)
        self.fields["seen"].initial = " ".join(f"{pk}:{revision}" for pk, revision in seen.items())
        for field in self.fields.values():
            if isinstance(field, LengthText):
                field.unit = line.batch.customer.unit       # type: ignore[assignment]
                field.widget.attrs["data-unit"] = line.batch.customer.unit

    def chosen(self) -> list[Piece]:
        return [self.by_id[key] for key in self.cleaned_data["pieces"]]

    def revisions(self) -> dict[int, int]:
        """What the page saw: piece id -> revision."""
        pairs = (item.split(":") for item in self.cleaned_data.get("seen", "").split())
        return {int(p[0]): int(p[1]) for p in pairs
                if len(p) == 2 and all(x.isascii() and x.isdigit() and len(x) < 18 for x in p)}
