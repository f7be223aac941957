"""Tool families: what is known of one, and two that are one."""

from typing import Any

from django import forms
from django.db.models import Q

from regrind.geometry.units import Unit
from regrind.record.models import Family
from regrind.shop.fields.forms import AngleText, LengthText, ShopForm
from regrind.shop.posts.stale import VersionedForm

from .family_form import FamilyForm, ShownField
from .fields import exact_text
from .line_form import initial_of

MOST = 200
NEW_LENGTHS = ("core", "primary_land", "face_arc")
NEW_ANGLES = ("rake", "primary_relief", "secondary_relief")


def like(family: Family) -> list[Family]:
    """Families that may be the same tool: of its kind, of its size or of none; the nearest first."""
    families = Family.objects.filter(kind=family.kind, merged_into=None).exclude(pk=family.pk)
    if family.nominal_nm is not None:
        families = families.filter(Q(nominal_nm=family.nominal_nm) | Q(nominal_nm=None))
    return list(families.order_by("nominal_nm", "teeth", "pk")[:MOST])


class FactsForm(FamilyForm, VersionedForm):
    """All that is known of a family, with the geometry it had when new."""

    core = LengthText(label="Core diameter", least_nm=10_000, most_nm=500_000_000, required=False)
    rake = AngleText(label="Radial rake", least=-30, most=30, required=False)
    primary_relief = AngleText(label="Primary relief", least=0, most=40, required=False)
    secondary_relief = AngleText(label="Secondary relief", least=0, most=60, required=False)
    primary_land = LengthText(label="Primary land", least_nm=10_000, most_nm=20_000_000, required=False)
    face_arc = LengthText(label="Radius of the flute face", least_nm=10_000, most_nm=500_000_000, required=False)

    def __init__(self, *args: Any, unit: Unit, family: Family, **kwargs: Any) -> None:
        lengths = {name: exact_text(getattr(family, f"{name}_nm"), unit) for name in NEW_LENGTHS}
        angles = {name: getattr(family, f"{name}_cdeg") for name in NEW_ANGLES}
        angle_texts = {name: f"{cdeg / 100:g}" for name, cdeg in angles.items() if cdeg is not None}
        super().__init__(*args, unit=unit, initial=initial_of(family, unit) | lengths | angle_texts, **kwargs)
        self.set_version(family)

    @property
    def shown_when_new(self) -> list[ShownField]:
        return self.show_fields(("core", "rake", "primary_relief", "secondary_relief", "primary_land", "face_arc"))

    @property
    def kinds_when_new(self) -> str:
        """The kinds of which something is asked as it was when new."""
        return " ".join(dict.fromkeys(" ".join(field.kinds for field in self.shown_when_new).split()))

    @property
    def asks_when_new(self) -> bool:
        return any(field.shown for field in self.shown_when_new)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        core, nominal = data.get("core"), data.get("nominal")
        if core and nominal and core.nm >= nominal.nm:
            self.add_error("core", f"{core.text} is not below the cutting diameter, {nominal.text}.")
        first, second = data.get("primary_relief"), data.get("secondary_relief")
        if first is not None and second is not None and second < first:
            self.add_error("secondary_relief", f"It is not below the primary relief, {first / 100:g}°.")
        return data

    def facts(self) -> dict[str, Any]:
        """By the names of Family's columns; None or "" is unknown."""
        data = self.cleaned_data
        return (
            self.family()
            | {f"{name}_nm": data[name].nm if data[name] else None for name in NEW_LENGTHS}
            | {f"{name}_cdeg": data[name] for name in NEW_ANGLES}
        )


class MergeFamilyForm(ShopForm):
    into = forms.ChoiceField(
        label="Merge into",
        error_messages={"invalid_choice": "Choose a family of the list: of the same kind and size."},
    )

    def __init__(self, *args: Any, family: Family, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.others = {str(other.pk): other for other in like(family)}
        field = self.fields["into"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", "choose a family"), *((pk, other.name(unit)) for pk, other in self.others.items())]

    def chosen(self) -> Family:
        return self.others[self.cleaned_data["into"]]
