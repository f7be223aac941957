"""The values of a row by the names of its form's fields, for the page that shows a conflict."""

from collections.abc import Mapping
from typing import Any

from django.db import models

from regrind.geometry.units import Unit, both, other_unit, show_fine

SMALL_NM = 10_000
ENDINGS = ("_nm", "_cdeg", "_minor", "_hundredths")


def describe(row: models.Model, unit: Unit = "in", names: Mapping[str, str] | None = None) -> dict[str, str]:
    """Field name -> value as text; empty values are left out.

    unit: the reader's. names: column -> form field, where they differ. One query for each foreign key that has not
    been fetched.
    """
    values: dict[str, str] = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if field.primary_key or value in (None, "", False):
            continue
        values[(names or {}).get(field.name, _bare(field.name))] = _as_text(row, field, value, unit)
    return values


def _bare(column: str) -> str:
    return next((column.removesuffix(end) for end in ENDINGS if column.endswith(end)), column)


def _both(nm: int, unit: Unit) -> str:
    """In both units; below a hundredth of a millimetre with one more decimal, where a gauge's resolution would be 0."""
    if abs(nm) >= SMALL_NM:
        return " = ".join(both(nm, unit))
    return f"{show_fine(nm, unit)} = {show_fine(nm, other_unit(unit))}"


def _as_text(row: models.Model, field: "models.Field[Any, Any]", value: Any, unit: Unit) -> str:
    """A length in both units, an angle in degrees, money and minutes in whole units, a choice by its label."""
    if field.name.endswith("_nm"):
        return _both(value, unit)
    if field.name.endswith("_cdeg"):
        return f"{value / 100:g}°"
    if field.name.endswith(("_minor", "_hundredths")):
        return f"{value // 100}.{value % 100:02d}"
    if field.is_relation:
        return str(getattr(row, field.name))
    return "yes" if value is True else str(dict(field.flatchoices).get(value, value))
