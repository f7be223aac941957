"""How a row stands now, by the names of the fields that it was typed in: for the page that shows two values."""

from collections.abc import Mapping
from typing import Any

from django.db import models

from regrind.geometry.units import Unit, both, other_unit, show_fine

SMALL_NM = 10_000
ENDINGS = ("_nm", "_cdeg", "_minor", "_hundredths")


def describe(row: models.Model, unit: Unit = "in", names: Mapping[str, str] | None = None) -> dict[str, str]:
    """Field name -> value in words; what is empty is left out.

    unit: the reader's. names: columns whose field is called otherwise in the form. One query for each foreign key
    that has not been fetched.
    """
    told: dict[str, str] = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if field.primary_key or value in (None, "", False):
            continue
        told[(names or {}).get(field.name, _bare(field.name))] = _say(row, field, value, unit)
    return told


def _bare(column: str) -> str:
    return next((column.removesuffix(end) for end in ENDINGS if column.endswith(end)), column)


def _both(nm: int, unit: Unit) -> str:
    """In both units; with one place more below a hundredth of a millimetre, where a gauge's resolution would read 0."""
    if abs(nm) >= SMALL_NM:
        return " = ".join(both(nm, unit))
    return f"{show_fine(nm, unit)} = {show_fine(nm, other_unit(unit))}"


def _say(row: models.Model, field: "models.Field[Any, Any]", value: Any, unit: Unit) -> str:
    """A length in both units, an angle in degrees, money and minutes in whole ones, all else as it is called."""
    if field.name.endswith("_nm"):
        return _both(value, unit)
    if field.name.endswith("_cdeg"):
        return f"{value / 100:g}°"
    if field.name.endswith(("_minor", "_hundredths")):
        return f"{value // 100}.{value % 100:02d}"
    if field.is_relation:
        return str(getattr(row, field.name))
    return "yes" if value is True else str(dict(field.flatchoices).get(value, value))
