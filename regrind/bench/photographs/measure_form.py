"""The form of a length measured on a photo: its taps, what gave the scale, and what they come to."""

from typing import Any

from django import forms

from regrind.geometry.errors import Refused
from regrind.geometry.photo_scale import PhotoLength, Taps, measure_on_photo
from regrind.geometry.units import NM_PER_MM, Unit, show_with_unit
from regrind.shop.fields.forms import LengthText, ShopForm

POINTS = (
    ("scale_1", "Known size, one end"),
    ("scale_2", "Known size, other end"),
    ("damage_1", "Damage, one end"),
    ("damage_2", "Damage, other end"),
)
QUANTITIES = [("depth", "depth"), ("wear_land", "wear land")]
MOST_PX = 100_000
TAP_OFF_PX = 3.0  # memory: about what a fingertip under a lens of four times comes to
BESIDE = {"known_mm": "known", "known_uncertainty_mm": "known_off", "tap_off_px": "tap_off"}


def _pixels(label: str, least: float, most: float, initial: float | None = None) -> forms.FloatField:
    outside = f"From {least:g} to {most:g} pixels fit here."
    return forms.FloatField(
        label=label,
        min_value=least,
        max_value=most,
        initial=initial,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"invalid": outside, "min_value": outside, "max_value": outside},
    )


class MeasureForm(ShopForm):
    """unit: the customer's. known: what is offered as the known size, '' for nothing."""

    known = LengthText(label="Known size", least_nm=10_000, most_nm=500_000_000)
    known_off = LengthText(
        label="give or take", most_nm=10_000_000, required=False, help_text="Left empty, it is taken as exact."
    )
    quantity = forms.ChoiceField(
        label="What is measured", choices=QUANTITIES, widget=forms.RadioSelect, initial="wear_land"
    )
    tap_off = _pixels("A tap may be off by, in pixels", 0, 100, TAP_OFF_PX)

    def __init__(self, *args: Any, unit: Unit, known: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit, self.length = unit, None
        for name, words in POINTS:
            for axis, side in (("x", "from the left"), ("y", "from the top")):
                field = _pixels(f"{words}, {side}", 0, MOST_PX)
                field.error_messages["required"] = f"Tap the photo: {words.lower()}."
                self.fields[f"{name}_{axis}"] = field
        self.initial["known"] = known
        self.each_length(self._read_in)

    length: PhotoLength | None

    def _read_in(self, _name: str, field: LengthText) -> None:
        field.unit = self.unit
        field.widget.attrs["data-unit"] = self.unit

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.errors:
            return data
        off_mm = data["known_off"].nm / NM_PER_MM if data["known_off"] else 0.0
        try:
            self.length = measure_on_photo(
                self.taps("scale"), data["known"].nm / NM_PER_MM, off_mm, self.taps("damage"), data["tap_off"]
            )
        except Refused as refused:
            beside = BESIDE.get(refused.field, "scale_2_x" if refused.field == "scale" else "damage_2_x")
            self.add_error(beside, f"This {refused.message}.")
        return data

    def taps(self, name: str) -> Taps:
        ends = [self.cleaned_data[f"{name}_{end}_{axis}"] for end in (1, 2) for axis in ("x", "y")]
        return Taps(*ends)

    def _length_nm(self) -> tuple[int, int]:
        """The length, and its uncertainty at k = 2."""
        assert self.length is not None
        return round(self.length.length_mm * NM_PER_MM), round(self.length.expanded_uncertainty_mm * NM_PER_MM)

    def words(self) -> str:
        """`wear land 0.120 mm ± 0.033 mm on the photo; tilt and lens are not in it`."""
        length, off = (show_with_unit(nm, self.unit) for nm in self._length_nm())
        quantity = dict(QUANTITIES)[self.cleaned_data["quantity"]]
        return f"{quantity} {length} ± {off} on the photo; tilt and lens are not in it"

    def measured(self) -> dict[str, Any]:
        """What is stored: the figures and every tap, so that it can be worked out again."""
        (nm, off_nm), data = self._length_nm(), self.cleaned_data
        known = {"known_nm": data["known"].nm, "known_off_nm": data["known_off"].nm if data["known_off"] else 0}
        taps = {name: [data[f"{name}_x"], data[f"{name}_y"]] for name, _ in POINTS}
        return {"nm": nm, "expanded_uncertainty_nm": off_nm, "tap_off_px": data["tap_off"], **known, **taps}
