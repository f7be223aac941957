"""One piece known again: as a tool that was here before, or as a complaint about an earlier visit."""

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.geometry.units import Unit
from regrind.record.find import read_numbers
from regrind.record.models import Piece, Tool
from regrind.record.tags import LENGTH, read_tag
from regrind.shop.fields.forms import LengthText, ShopForm
from regrind.shop.fields.whole_numbers import WholeText
from regrind.shop.models import Person

from . import actions
from .actions.tools import MOST_REGRINDS
from .fields import set_unit
from .tool_matching import Candidate, earlier_pieces, find_tool, fitting_tools


class NowForm(ShopForm):
    """Today's diameter, if it is measured: a tool that was smaller last time cannot be this one."""

    now = LengthText(label="Diameter today, if measured", least_nm=100_000, most_nm=500_000_000, required=False)

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_unit(self, unit)

    def now_nm(self) -> int | None:
        return self.cleaned_data["now"].nm if self.is_valid() and self.cleaned_data["now"] else None


class KnownForm(ShopForm):
    """Which tool it is: typed, or picked from those that fit."""

    typed = forms.CharField(
        label="Its life tag, or the customer's number",
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )
    tool = forms.ChoiceField(
        required=False, error_messages={"invalid_choice": "That tool is no longer among those that fit."}
    )
    here = WholeText(label="Regrinds here before, by the marks", least=0, most=MOST_REGRINDS, required=False)
    elsewhere = WholeText(label="Regrinds elsewhere before, by the marks", least=0, most=MOST_REGRINDS, required=False)

    def __init__(self, *args: Any, piece: Piece, now_nm: int | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.piece, self.candidates = piece, fitting_tools(piece.line, now_nm)
        field = self.fields["tool"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(str(row.tool.pk), row.tool.tag) for row in self.candidates]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        text, picked = data.get("typed"), data.get("tool")
        if text and picked:
            self.add_error("typed", "Write a tag or number, or pick a tool: not both.")
        elif text:
            data["match"] = self._find(text)
        elif picked:
            data["match"] = next(row.tool for row in self.candidates if str(row.tool.pk) == picked)
        elif "tool" not in self.errors:
            self.add_error("typed", "Write its tag or the customer's number, or pick one of the tools below.")
        return data

    def _find(self, text: str) -> Tool | None:
        match = find_tool(self.piece.batch.customer, text)
        if match is None:
            wrong = len(text) == LENGTH and text.isalnum() and read_tag(text) is None
            also = " If it is a tag, one character was misread: its check character does not fit." if wrong else ""
            self.add_error(
                "typed", f"This customer has no tool “{text}”. A tag has six characters, none of B I O Q S V Z.{also}"
            )
        return match

    def rows(self) -> list[tuple[Candidate, bool, str]]:
        """Each tool that fits, whether it is picked, and its last visit in words."""
        unit, picked = self.piece.batch.customer.unit, self.data.get("tool")
        return [(row, picked == str(row.tool.pk), row.describe(unit)) for row in self.candidates]

    def act(self, by: Person) -> None:
        data = self.cleaned_data
        actions.follow(by=by, piece=self.piece, tool=data["match"], here=data["here"], elsewhere=data["elsewhere"])


class ComplaintForm(ShopForm):
    """Which earlier visit it is a complaint about, and what is wrong."""

    earlier = forms.CharField(
        label="Number of the piece when it was returned",
        max_length=24,
        required=False,
        help_text="as its label says: 391-2-4",
    )
    pick = forms.ChoiceField(
        required=False, error_messages={"invalid_choice": "That piece is no longer in the list of returned pieces."}
    )
    reason = forms.CharField(max_length=300, label="What is wrong with it")

    def __init__(self, *args: Any, piece: Piece, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.piece, self.returned = piece, earlier_pieces(piece)
        field = self.fields["pick"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(str(piece.pk), str(piece)) for piece in self.returned]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        text, picked = data.get("earlier"), data.get("pick")
        if text and picked:
            self.add_error("earlier", "Write a number or pick a piece: not both.")
        elif text:
            data["match"] = self._find(text)
        elif picked:
            data["match"] = next(piece for piece in self.returned if str(piece.pk) == picked)
        elif "pick" not in self.errors:
            self.add_error("earlier", "Write the number of the earlier piece, or pick one below.")
        return data

    def _find(self, text: str) -> Piece | None:
        numbers, match = read_numbers(text), None
        if len(numbers) == 3:
            batch, line, number = numbers
            match = (
                Piece.objects.filter(
                    batch__number=batch, original_line=line, number=number, batch__customer=self.piece.batch.customer_id
                )
                .select_related("batch", "tool")
                .first()
            )
        if match is None:
            self.add_error(
                "earlier", f"This customer had no piece “{text}” here. It is written 391-2-4: batch, line, piece."
            )
        return match

    def rows(self) -> list[tuple[Piece, bool, str]]:
        """Each earlier piece, whether it is picked, and its visit in words."""
        picked = self.data.get("pick")
        return [(returned, picked == str(returned.pk), _describe_visit(returned)) for returned in self.returned]

    def act(self, by: Person) -> None:
        actions.complain(
            by=by, piece=self.piece, earlier=self.cleaned_data["match"], reason=self.cleaned_data["reason"]
        )


def _describe_visit(piece: Piece) -> str:
    """`ground, batch of 3 Nov 2026, order 4711`."""
    order = f", order {piece.batch.order_number}" if piece.batch.order_number else ""
    received = date_format(timezone.localtime(piece.batch.received_at), "j M Y")
    return f"{piece.get_result_display()}, batch of {received}{order}"
