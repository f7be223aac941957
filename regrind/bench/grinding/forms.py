from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from regrind.geometry.units import Unit, show_with_unit
from regrind.record.kinds import RADIAL, name_part
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Piece
from regrind.shop.fields.dates import DoneAt, day
from regrind.shop.fields.forms import InUse, LengthText, MoneyText
from regrind.shop.models import WorkHolding

from ..models import WHEEL_TURNS
from ..piece_form import PiecesForm
from .prefill import ENDS, Aim, agreed, ask_about_wheel, differ
from .wheel_choice import WheelChoice

ORDER = [
    ("sides_first", "sides first"),
    ("end_roughed", "end roughed off first, finished last"),
    ("end_first", "end finished first"),
]
REST = [("follows", "follows in another setup"), ("left_out", "is left out")]


class GrindForm(PiecesForm):
    grinds = forms.MultipleChoiceField(label="What was ground", widget=forms.CheckboxSelectMultiple)
    rest = forms.ChoiceField(
        label="What was planned and is not ticked", choices=REST, required=False, widget=forms.RadioSelect
    )
    minutes = forms.DecimalField(
        label="Minutes in all",
        min_value=Decimal("0"),
        max_value=Decimal("2000"),
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={"invalid": "Write the minutes as 42 or 42.5, from 0 to 2000."},
    )
    infeed = LengthText(label="Infeed taken, on the radius", most_nm=10_000_000, required=False)
    end_taken = LengthText(label="Taken off the end", most_nm=50_000_000, required=False)
    wheel = WheelChoice()
    wheel_sure = forms.BooleanField(label="This wheel was used all the same", required=False)
    holding = InUse(WorkHolding, label="Work holding")
    gashed = forms.ChoiceField(
        label="End gashed again", required=False, choices=[("", "not recorded"), ("yes", "yes"), ("no", "no")]
    )
    order = forms.ChoiceField(
        label="In what order", choices=ORDER, initial="sides_first", required=False, widget=forms.RadioSelect
    )
    order_sure = forms.BooleanField(label="The end was finished first all the same", required=False)
    roughing = forms.ChoiceField(label="Wheel when roughing", choices=WHEEL_TURNS, required=False, initial="")
    finishing = forms.ChoiceField(label="Wheel when finishing", choices=WHEEL_TURNS, required=False, initial="")
    note = forms.CharField(max_length=500, required=False)
    done_at = DoneAt()

    asks_wheel = asks_order = asks_rest = False

    def __init__(self, *args: Any, aims: Sequence[Aim], initial: dict[str, Any], **kwargs: Any) -> None:
        self.aims = {aim.piece.pk: aim for aim in aims}
        unit = kwargs["line"].batch.customer.unit
        super().__init__(*args, initial=first_values(aims, unit) | initial, **kwargs)
        kind = self.line.family.kind_data
        self.fields["wheel"].material = tool_of(self.line).material  # type: ignore[attr-defined]  # a WheelChoice
        field = self.fields["grinds"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(name, name_part(name)) for name in kind.grinds]
        field.error_messages |= {
            "required": "Tick what was ground.",
            "invalid_choice": (
                f"The sides are left alone: {kind.no_sides}."
                if kind.no_sides
                else f"On this kind is ground: {', '.join(kind.grinds)}."
            ),
        }
        self._drop_unused_fields(kind.grinds)

    def _drop_unused_fields(self, grinds: Sequence[str]) -> None:
        """A rougher has no infeed on the radius, a saw no end, and where one of both is missing there is no order."""
        ends = [name for name in grinds if name in ENDS]
        asked = {
            "infeed": bool(set(RADIAL) & set(grinds)),
            "end_taken": bool(ends),
            "gashed": "end" in grinds and self.line.family.kind_data.computed,
            "order": {"sides", "end"} <= set(grinds),
            "order_sure": {"sides", "end"} <= set(grinds),
        }
        for name in (name for name, needed in asked.items() if not needed):
            del self.fields[name]
        if ends and "end_taken" in self.fields:
            self.fields["end_taken"].label = f"Taken off the {ends[0]}"

    @property
    def has_infeed(self) -> bool:
        return "infeed" in self.fields

    @property
    def has_end(self) -> bool:
        return "end_taken" in self.fields

    @property
    def has_order(self) -> bool:
        return "order" in self.fields

    @property
    def has_gash(self) -> bool:
        return "gashed" in self.fields

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        self._ask_about_the_wheel(data)
        self._ask_for_the_rest(data)
        self._ask_about_the_order(data)
        return data

    def _ask_about_the_wheel(self, data: dict[str, Any]) -> None:
        """Diamond for carbide, CBN for high-speed steel, never the reverse without a warning."""
        wrong = ask_about_wheel(self.line, data.get("wheel"))
        if wrong and not data.get("wheel_sure"):
            self.asks_wheel = True
            self.add_error("wheel", f"{wrong} If this wheel was used, tick below that it was.")

    def _missing(self, data: dict[str, Any]) -> set[str]:
        """Parts that the ticked pieces' plans ask for and that are neither ticked nor done before."""
        chosen = [self.aims[piece.pk] for piece in self._ticked(data) if piece.pk in self.aims]
        return {part for aim in chosen for part in aim.remaining} - set(data.get("grinds") or [])

    def _ticked(self, data: dict[str, Any]) -> list[Piece]:
        return [self.by_id[key] for key in data.get("pieces") or []]

    def _ask_for_the_rest(self, data: dict[str, Any]) -> None:
        missing = self._missing(data)
        if missing and data.get("grinds") and not data.get("rest"):
            self.asks_rest = True
            self.add_error(
                "grinds",
                f"The plan asks for the {' and the '.join(sorted(missing))} as well: tick that, "
                "or say below what becomes of it.",
            )

    def _ask_about_the_order(self, data: dict[str, Any]) -> None:
        """Finishing the end before the sides is asked about; roughing it off first is not the end grind."""
        if self._ends_first(data) and not data.get("order_sure"):
            self.asks_order = True
            self.add_error(
                "order",
                "The sides go before the end: the end can follow later, not the other way round. "
                "If the end was finished first, tick below that it was.",
            )

    def _ends_first(self, data: dict[str, Any]) -> bool:
        parts, order = set(data.get("grinds") or []), data.get("order")
        if "end" not in parts or order == "end_roughed":
            return False
        sides_follow = "sides" in self._missing(data) and data.get("rest") == "follows"
        return sides_follow or ("sides" in parts and order == "end_first")

    def values(self) -> dict[str, Any]:
        """The arguments of actions.grind, besides pieces and revisions."""
        data = self.cleaned_data
        parts, missing = set(data["grinds"]), self._missing(data)
        infeed, end = data.get("infeed"), data.get("end_taken")
        plain = ("grinds", "wheel", "holding", "roughing", "finishing", "note", "done_at")
        return {name: data[name] for name in plain} | {
            "infeed_radial_nm": infeed.nm if infeed and parts & set(RADIAL) else None,
            "end_taken_nm": end.nm if end and parts & set(ENDS) else None,
            "planned": self._planned(parts, infeed is None, end is None),
            "minutes_hundredths": int(data["minutes"] * 100),
            "end_first": self._ends_first(data),
            "follows": bool(missing) and data["rest"] == "follows",
            "gashed": {"yes": True, "no": False}.get(data.get("gashed") or ""),
        }

    def _planned(self, parts: set[str], no_infeed: bool, no_end: bool) -> dict[int, tuple[int | None, int | None]]:
        """Where the plans differ and the field was left empty, each piece keeps its own planned figure."""
        infeeds = no_infeed and bool(parts & set(RADIAL)) and differ(aim.infeed_nm for aim in self.aims.values())
        ends = no_end and bool(parts & set(ENDS)) and differ(aim.end_nm for aim in self.aims.values())
        return (
            {pk: (aim.infeed_nm if infeeds else None, aim.end_nm if ends else None) for pk, aim in self.aims.items()}
            if infeeds or ends
            else {}
        )


def first_values(aims: Sequence[Aim], unit: Unit) -> dict[str, Any]:
    """What the plans say, where they agree."""
    infeed, end = agreed(aim.infeed_nm for aim in aims), agreed(aim.end_nm for aim in aims)
    remaining = next((aim.remaining or aim.parts for aim in aims if aim.parts), ())
    values: dict[str, Any] = {"grinds": list(remaining)}
    values |= {name: show_with_unit(nm, unit) for name, nm in (("infeed", infeed), ("end_taken", end)) if nm}
    if aims and all(aim.gash for aim in aims):
        values["gashed"] = "yes"
    return values


class SendForm(PiecesForm):
    number = forms.CharField(label="Slip number", max_length=40)
    coater = forms.CharField(label="Coater", max_length=120)
    coating = forms.CharField(label="Coating", max_length=40)
    expected = day(label="Expected back")
    price = MoneyText(label="Price agreed for all of it", max_length=12, required=False)
    address = forms.CharField(
        label="The coater’s address", max_length=400, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    note = forms.CharField(
        label="Masking and edges",
        max_length=300,
        required=False,
        help_text="as agreed with the coater: what stays bare, how edges are prepared",
    )
    done_at = DoneAt(label="Sent at, if not now")

    def clean_address(self) -> str:
        """Without the address of last time where another coater was written over that one."""
        address: str = self.cleaned_data["address"].replace("\r\n", "\n")
        offered, coater = self.initial.get("address"), self.cleaned_data.get("coater", "")
        if address and address == offered and coater.casefold() != self.initial.get("coater", "").casefold():
            raise forms.ValidationError(
                f"That is the address of {self.initial['coater']}. Write that of {coater}, or leave it empty."
            )
        return address

    def clean_expected(self) -> date | None:
        """Not before the box was received, and within a year from now: a mistyped year is caught here."""
        expected: date | None = self.cleaned_data["expected"]
        received = timezone.localdate(self.line.batch.received_at)
        latest = timezone.localdate() + timedelta(days=366)
        if expected and not received <= expected <= latest:
            raise forms.ValidationError(
                f"{expected} is not likely: write a day from {received}, when the box was received, to {latest}."
            )
        return expected


class BackForm(PiecesForm):
    done_at = DoneAt(label="Back at, if not now")
