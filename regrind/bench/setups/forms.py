from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms

from regrind.record.kinds import RADIAL
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Piece
from regrind.shop.fields.dates import DoneAt
from regrind.shop.fields.forms import InUse
from regrind.shop.models import WorkHolding

from ..grinding.actions import Part
from ..grinding.prefill import ENDS, suits
from ..grinding.wheel_choice import WheelChoice
from ..models import WHEEL_TURNS
from ..piece_form import TickedPieces, check_done_at
from .waiting import Lot, Stage


class TrayForm(TickedPieces):
    """One setup that a whole tray went through: each piece ground as it was planned, all ticked at first."""

    minutes = forms.DecimalField(
        label="Minutes in all",
        min_value=Decimal("0"),
        max_value=Decimal("2000"),
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={"invalid": "Write the minutes as 42 or 42.5, from 0 to 2000."},
    )
    wheel = WheelChoice()
    wheel_sure = forms.BooleanField(label="This wheel was used all the same", required=False)
    holding = InUse(WorkHolding, label="Work holding")
    roughing = forms.ChoiceField(label="Wheel when roughing", choices=WHEEL_TURNS, required=False, initial="")
    finishing = forms.ChoiceField(label="Wheel when finishing", choices=WHEEL_TURNS, required=False, initial="")
    note = forms.CharField(max_length=500, required=False)
    done_at = DoneAt()

    asks_wheel = False

    def __init__(self, *args: Any, stage: Stage, revisions: dict[int, int], **kwargs: Any) -> None:
        usual = stage.lots[0].usual
        super().__init__(
            *args,
            initial={"wheel": usual.wheel and usual.wheel.pk, "holding": usual.holding and usual.holding.pk},
            **kwargs,
        )
        self.stage = stage
        materials = {tool_of(lot.line).material for lot in stage.lots}
        self.fields["wheel"].material = materials.pop() if len(materials) == 1 else ""  # type: ignore[attr-defined]
        self.offer((piece for lot in stage.lots for piece in lot.pieces), revisions)
        self.fields["pieces"].error_messages["required"] = "Tick the pieces that were ground."

    def name(self, piece: Piece) -> str:
        return str(piece)

    def clean_done_at(self) -> datetime | None:
        """A late entry lies between the arrival of the last box and now."""
        since = max(lot.line.batch.received_at for lot in self.stage.lots)
        return check_done_at(self.cleaned_data["done_at"], since, "the last of these boxes")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        wheel = data.get("wheel")
        wrong = [
            material for lot in self._ticked(data) if wheel and not suits(material := tool_of(lot.line).material, wheel)
        ]
        if wrong and not data.get("wheel_sure"):
            self.asks_wheel = True
            self.add_error(
                "wheel",
                f"{wheel} is not for {wrong[0]}: diamond is for carbide, CBN for high-speed steel. "
                "If this wheel was used, tick below that it was.",
            )
        return data

    def _ticked(self, data: dict[str, Any]) -> list[Lot]:
        keys = set(data.get("pieces") or [])
        return [lot for lot in self.stage.lots if any(str(piece.pk) in keys for piece in lot.pieces)]

    def boxes(self) -> list[tuple[Lot, list[Any]]]:
        """Each lot with the boxes of its pieces."""
        every = {box.data["value"]: box for box in self["pieces"]}
        return [(lot, [every[str(piece.pk)] for piece in lot.pieces]) for lot in self.stage.lots]

    def parts(self) -> list[Part]:
        keys = set(self.cleaned_data["pieces"])
        return [_part(lot, [piece for piece in lot.pieces if str(piece.pk) in keys]) for lot in self.stage.lots]

    def values(self) -> dict[str, Any]:
        """The arguments of actions.grind_setup, besides who."""
        data = self.cleaned_data
        plain = ("wheel", "holding", "roughing", "finishing", "note", "done_at")
        return {name: data[name] for name in plain} | {
            "parts": self.parts(),
            "expected": self.revisions(),
            "minutes_hundredths": int(data["minutes"] * 100),
        }


def _part(lot: Lot, pieces: Sequence[Piece]) -> Part:
    aim = lot.aim
    infeed = aim.infeed_nm if set(RADIAL) & set(aim.remaining) else None
    end = aim.end_nm if set(ENDS) & set(aim.remaining) else None
    return Part(tuple(pieces), aim.remaining, {piece.pk: (infeed, end) for piece in pieces}, True if aim.gash else None)
