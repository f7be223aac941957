"""The properties of a kind of tool, field by field."""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from django import forms

from regrind.geometry.errors import Refused
from regrind.geometry.kinds.thread import read_thread
from regrind.geometry.units import Unit
from regrind.record.kinds import CHOICES, END_MILLS, KINDS, Kind
from regrind.record.models import Family
from regrind.record.models.families import TAP_FLUTES
from regrind.shop.fields.forms import AngleText, ShopForm
from regrind.shop.fields.whole_numbers import WholeText

from .fields import SizeText, set_unit

LONGEST_NM = 1_000_000_000
LENGTHS = ("nominal", "corner_radius", "shank", "flute_length", "overall")
ANGLES = ("helix", "point_angle")
PLAIN = (
    "kind",
    "teeth",
    "material",
    "coating",
    "maker",
    "catalogue",
    "thread",
    "tap_flutes",
    "hand_of_cut",
    "hand_of_helix",
    "unequal_index",
)
SIZE_NEEDED = "The cutting diameter is required: write it with its unit, 1/4 in or 6 mm, or tick “Size unknown”."
HANDS = [("right", "right"), ("left", "left")]
FLUTES = [("", "not known"), *TAP_FLUTES]
MATERIALS = [("", "not known"), *[c for c in Family._meta.get_field("material").choices or [] if c[0]]]


class ShownField(NamedTuple):
    """A field with the codes of the kinds that have it, "" for all, and whether the kind that is chosen has it."""

    bound: forms.BoundField
    kinds: str
    shown: bool


class FamilyForm(ShopForm):
    """What a kind of tool is: the properties of its family."""

    kind = forms.ChoiceField(choices=CHOICES)
    nominal = SizeText(label="Cutting diameter", least_nm=100_000, most_nm=500_000_000, required=False)
    teeth = WholeText(label="Flutes or teeth", least=1, most=300, required=False)
    material = forms.ChoiceField(required=False, choices=MATERIALS)
    coating = forms.CharField(max_length=20, required=False)
    helix = AngleText(label="Helix", least=0, most=70, required=False)
    corner_radius = SizeText(label="Corner radius", least_nm=1_000, most_nm=100_000_000, required=False)
    point_angle = AngleText(label="Point or included angle", least=20, most=180, required=False)
    shank = SizeText(label="Shank", least_nm=100_000, most_nm=200_000_000, required=False)
    flute_length = SizeText(label="Flute length", least_nm=100_000, most_nm=LONGEST_NM, required=False)
    overall = SizeText(label="Overall length", least_nm=1_000_000, most_nm=LONGEST_NM, required=False)
    thread = forms.CharField(max_length=24, required=False, help_text="M8 x 1.25, 1/4-20 UNC or #10-32")
    tap_flutes = forms.ChoiceField(label="Flutes of a tap", choices=FLUTES, required=False)
    maker = forms.CharField(label="Maker's mark", max_length=60, required=False)
    catalogue = forms.CharField(label="Catalogue number", max_length=60, required=False)
    hand_of_cut = forms.ChoiceField(label="Hand of cut", choices=HANDS, required=False)
    hand_of_helix = forms.ChoiceField(label="Hand of helix", choices=HANDS, required=False)
    unequal_index = forms.BooleanField(label="Unequal index", required=False)

    property_names = (
        *("kind", "nominal", "teeth", "thread", "tap_flutes", "material", "coating", "helix", "corner_radius"),
        *("point_angle", "shank", "flute_length", "overall", "maker", "catalogue"),
        *("hand_of_cut", "hand_of_helix", "unequal_index"),
    )

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = unit
        set_unit(self, unit)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        nominal, radius = data.get("nominal"), data.get("corner_radius")
        if _is_sized(data) and nominal is None and "nominal" not in self.errors and not self.lacks_size():
            self.add_error("nominal", SIZE_NEEDED)
        if radius and nominal and data.get("kind") in END_MILLS and 2 * radius.nm > nominal.nm:
            self.add_error("corner_radius", f"{radius.text} is more than half the diameter, {nominal.text}.")
        flute, overall = data.get("flute_length"), data.get("overall")
        if flute and overall and flute.nm > overall.nm:
            self.add_error("flute_length", f"{flute.text} is longer than the whole tool, {overall.text}.")
        return data

    @property
    def shown_properties(self) -> list[ShownField]:
        return self.show_fields(self.property_names)

    def show_fields(self, names: Sequence[str]) -> list[ShownField]:
        """Fields in this order. A value that stands is shown whatever the kind, so that nothing is stored unseen."""
        kind = KINDS.get(self["kind"].value() or "")
        return [_show_field(self[name], kind) for name in names]

    def clean_thread(self) -> str:
        """As it was written, where it is a thread."""
        text: str = self.cleaned_data["thread"]
        try:
            return text if not text or read_thread(text) else ""
        except Refused as refused:
            raise forms.ValidationError(refused.message) from refused

    def lacks_size(self) -> bool:
        """Whether it was said that nobody knows the size."""
        return bool(self.cleaned_data.get("size_unknown"))

    def family(self) -> dict[str, Any]:
        """What the form says of the family, by the names of Family's columns."""
        data = self.cleaned_data
        values: dict[str, Any] = {name: data.get(name) for name in PLAIN}
        values |= {f"{name}_nm": data[name].nm if data.get(name) else None for name in LENGTHS}
        values |= {f"{name}_cdeg": data.get(name) for name in ANGLES}
        return values | {hand: values[hand] or "right" for hand in ("hand_of_cut", "hand_of_helix")}


def _show_field(bound: forms.BoundField, kind: Kind | None) -> ShownField:
    kinds = [one.code for one in KINDS.values() if bound.name in one.properties]
    stands = bool(bound.errors) or bound.value() not in (None, "", False, HANDS[0][0])
    return ShownField(bound, " ".join(kinds), not kinds or kind is None or kind.code in kinds or stands)


def _is_sized(data: Mapping[str, Any]) -> bool:
    """Whether such tools are known by their diameter."""
    kind = KINDS.get(data.get("kind") or "")
    return kind is not None and kind.sized
