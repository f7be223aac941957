from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import Http404

from regrind.paper.values import ADDRESS_STOCKS, STOCKS
from regrind.record.contacts import address_for, address_lines, addresses_of
from regrind.record.find import piece_or_404
from regrind.record.models import Address, Answer, Batch, Line, Piece
from regrind.record.models.answers import WAYS
from regrind.shop.events import Conflict
from regrind.shop.fields.dates import DoneAt
from regrind.shop.fields.forms import ShopForm
from regrind.shop.fields.weights import WeightText
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.owner.settings import shop_settings

from .issuing import ADDRESS, LABELS, Stock, usual_stock

DECISIONS = list(Answer._meta.get_field("decision").choices or ())  # to grind comes first


class PieceBoxes(forms.CheckboxSelectMultiple):
    """One tap-sized box a piece."""


def refuse_moved(form: ShopForm, names: Sequence[str], shown: QuerySet[Piece], fitting: Sequence[Piece]) -> None:
    """Raise Conflict where a piece that is ticked in one of the fields does not fit the form any more.

    shown: every piece that the form's page may have shown. fitting: those that fit it now.
    """
    ticked = {key for name in names for text in form[name].data or () if (key := read_whole(text)) is not None}
    moved = shown.filter(pk__in=ticked - {piece.pk for piece in fitting}).select_related("batch").first()
    if moved:
        raise Conflict(f"{moved} is {moved.get_status_display()} now. It has changed since your page was opened.")


def piece_choices(pieces: Sequence[Piece]) -> list[tuple[str, str]]:
    return [(str(piece.pk), piece.short) for piece in pieces]


class AnswerForm(ShopForm):
    """The customer's answer for waiting pieces."""

    pieces = forms.MultipleChoiceField(
        label="Pieces",
        widget=PieceBoxes,
        error_messages={"invalid_choice": "One of these pieces is no longer waiting: tick them again."},
    )
    decision = forms.ChoiceField(label="Decision", widget=forms.RadioSelect, choices=DECISIONS)
    who = forms.CharField(label="Who answered", max_length=120)
    how = forms.ChoiceField(label="How", choices=[way for way in WAYS if way[0] != "link"])
    agreed = forms.CharField(label="Agreed", max_length=500, widget=forms.Textarea(attrs={"rows": 2}))
    answered_at = DoneAt()

    def __init__(
        self, *args: Any, line: Line, pieces: Sequence[Piece], ways: Sequence[tuple[str, str]] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["pieces"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = piece_choices(pieces)
        field.initial = [str(piece.pk) for piece in pieces]
        decision = self.fields["decision"]
        assert isinstance(decision, forms.ChoiceField)
        decision.choices = [*ways, *DECISIONS[1:]] if ways else DECISIONS
        self.line, self.fitting = line, pieces

    def decided(self) -> tuple[str, tuple[int, int] | None]:
        """The decision, and of a way to grind its plan and the index of its option."""
        word, *numbers = self.cleaned_data["decision"].split(":")
        return word, (int(numbers[0]), int(numbers[1])) if numbers else None

    def check_stale(self) -> None:
        refuse_moved(self, ["pieces"], self.line.pieces.all(), self.fitting)


class ParcelForm(ShopForm):
    """Released pieces for one parcel, and scrap to recycle here."""

    send = forms.MultipleChoiceField(
        label="Into the parcel",
        required=False,
        widget=PieceBoxes,
        error_messages={"invalid_choice": "One of these pieces is no longer released. Tick the pieces again."},
    )
    recycle = forms.MultipleChoiceField(
        label="Scrap to recycle here",
        required=False,
        widget=PieceBoxes,
        error_messages={"invalid_choice": "One of these pieces is no longer released scrap. Tick the pieces again."},
    )
    carrier = forms.CharField(label="Carrier", max_length=60, required=False)
    tracking = forms.CharField(label="Tracking number", max_length=60, required=False)
    weight = WeightText(label="Weight", required=False)
    address = forms.ChoiceField(label="Address", required=False, widget=forms.RadioSelect)
    note = forms.CharField(label="Note on the slip", max_length=300, required=False)
    sent_at = DoneAt()

    def __init__(self, *args: Any, batch: Batch, released: Sequence[Piece], recycle_scrap: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.batch, self.fitting = batch, released
        scrap = [piece for piece in released if piece.result == "scrap"]
        to_recycle = scrap if recycle_scrap else []
        send, recycle = self.fields["send"], self.fields["recycle"]
        assert isinstance(send, forms.MultipleChoiceField)
        assert isinstance(recycle, forms.MultipleChoiceField)
        send.choices, recycle.choices = piece_choices(released), piece_choices(scrap)
        self._offer_addresses(batch)
        send.initial = [str(piece.pk) for piece in released if piece not in to_recycle]
        recycle.initial = [str(piece.pk) for piece in to_recycle]

    def _offer_addresses(self, batch: Batch) -> None:
        """The customer's addresses to choose from, the one for deliveries chosen; and the shop's unit of weight."""
        self.addresses = addresses_of(batch.customer)
        field, weight, usual = self.fields["address"], self.fields["weight"], address_for(batch.customer, "delivery")
        assert isinstance(field, forms.ChoiceField)
        assert isinstance(weight, WeightText)
        field.choices = [(str(row.pk), ", ".join(address_lines(row))) for row in self.addresses]
        field.error_messages["invalid_choice"] = "This address was changed or removed meanwhile. Choose again."
        field.initial = str(usual.pk) if usual else ""
        weight.unit = shop_settings().unit

    def sent_to(self) -> Address | None:
        """The address that was chosen; None where the customer has none."""
        return next((row for row in self.addresses if str(row.pk) == self.cleaned_data["address"]), None)

    def check_stale(self) -> None:
        refuse_moved(self, ["send", "recycle"], self.batch.pieces.all(), self.fitting)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        twice = set(data.get("send", [])) & set(data.get("recycle", []))
        if twice:
            self.add_error("recycle", "A piece is ticked twice. It is either sent or recycled: untick one of the two.")
        return data


class StockForm(ShopForm):
    """The stock that labels are printed on; empty for other papers."""

    stock = forms.ChoiceField(
        label="Label stock",
        required=False,
        choices=[(key, stock.name) for key, stock in STOCKS.items()],
        error_messages={"invalid_choice": f"Not a label stock. Choose one of {', '.join(STOCKS)}."},
    )
    start = forms.IntegerField(
        label="First free label on the sheet",
        min_value=1,
        max_value=60,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    each = forms.BooleanField(label="One label for every piece", required=False)
    stocked: Sequence[str] = LABELS

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["start"].error_messages |= dict.fromkeys(
            ("invalid", "min_value", "max_value"),
            "Write a number from 1 to 60, counted from the top left, row by row.",
        )

    def label_stock(self) -> Stock:
        """The stock that was chosen, else the one the shop printed on last."""
        data = self.cleaned_data
        return Stock(data["stock"] or usual_stock(self.stocked), data["start"] or 1, data["each"])


class AddressStockForm(StockForm):
    """The same for the address of a parcel, which takes a large label too."""

    stock = forms.ChoiceField(
        label="Label stock",
        required=False,
        choices=[(key, stock.name) for key, stock in ADDRESS_STOCKS.items()],
        error_messages={"invalid_choice": f"Not a label stock. Choose one of {', '.join(ADDRESS_STOCKS)}."},
    )
    stocked = (ADDRESS,)


class PrintForm(StockForm):
    """The same, before printing, with one piece picked by its number."""

    piece = forms.CharField(label="One piece", max_length=24, required=False)

    def __init__(self, *args: Any, batch: Batch, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.batch = batch

    def clean_piece(self) -> Piece | None:
        text = self.cleaned_data["piece"].strip()
        short = text.removeprefix(f"{self.batch.number}-") if text.count("-") == 2 else text
        try:
            return piece_or_404(f"{self.batch.number}-{short}") if text else None
        except Http404 as error:
            raise forms.ValidationError(
                f"{text} is not a piece of this batch. Write 3-7 or {self.batch.number}-3-7."
            ) from error


def chosen(pieces: Sequence[Piece], ids: Sequence[str]) -> list[Piece]:
    """The pieces whose ids were ticked."""
    wanted = set(ids)
    return [piece for piece in pieces if str(piece.pk) in wanted]
