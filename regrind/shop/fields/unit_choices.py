"""The unit of a bare whole number in one field of one line, once somebody has chosen it."""

from regrind.geometry.units import Typed, Unit

from ..models import UnitChoice
from .forms import LengthText, ShopForm


def remembered(scope: str) -> dict[str, str]:
    """field -> unit, as chosen before in this scope (`line:12`)."""
    return dict(UnitChoice.objects.filter(scope=scope).values_list("field", "unit"))


def apply_units(form: ShopForm, scope: str, unit: Unit) -> None:
    """Let every length field read in `unit` and use the units that were chosen before."""
    chosen = remembered(scope)

    def set_up(name: str, field: LengthText) -> None:
        field.unit = unit
        field.remembered = chosen.get(name, "")
        field.widget.attrs["data-unit"] = unit

    form.each_length(set_up)


def save_units(form: ShopForm, scope: str) -> None:
    """Save the unit of each whole number that was typed with one."""
    typed = {name: form.cleaned_data.get(name) for name, field in form.fields.items() if isinstance(field, LengthText)}
    chosen = [
        UnitChoice(scope=scope, field=name, unit=value.unit)
        for name, value in typed.items()
        if isinstance(value, Typed) and _whole(value)
    ]
    UnitChoice.objects.bulk_create(
        chosen, update_conflicts=True, unique_fields=["scope", "field"], update_fields=["unit"]
    )


def _whole(typed: Typed) -> bool:
    digits = typed.text.split()[0] if typed.text.split() else ""
    return digits.isascii() and digits.isdigit() and digits != "0" and typed.unit != "drill"
