"""Single teeth of a cutter, a row each: only those that are damaged, or stand out, are written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from django import forms

from regrind.geometry.units import Typed, Unit, show_with_unit
from regrind.shop.fields.forms import LengthText

from ..kinds.measures import BY_TOOTH, MEASURES
from ..models import Reading
from .whole_numbers import make_count

if TYPE_CHECKING:
    from .forms import InspectForm

NUMBER, HEIGHT = "number", "tooth"
MOST_ROWS, MOST_TEETH = 60, 300
CM_NM = 10_000_000
LABELS = {
    HEIGHT: "Reading",
    "rim_depth": "Depth",
    "rim_land": "or wear land",
    "left_depth": "Left, depth",
    "left_reach": "Left, how far in",
    "right_depth": "Right, depth",
    "right_reach": "Right, how far in",
}

WORDS = {
    HEIGHT: "{} below the highest",
    "rim_depth": "{} deep",
    "rim_land": "wear land {}",
    "left_depth": "left side {} deep",
    "left_reach": "reaching {} from the rim",
    "right_depth": "right side {} deep",
    "right_reach": "reaching {} from the rim",
}


def list_names(n: int, quantities: Sequence[str]) -> list[str]:
    """The fields of one row, its tooth's number first."""
    return [f"row_{n}_{name}" for name in (NUMBER, *quantities)]


def make_fields(numbers: range, quantities: Sequence[str], teeth: int) -> dict[str, forms.Field]:
    """The fields of all rows, by name. teeth: how many there are, 0 where nobody knows."""
    fields: dict[str, forms.Field] = {}
    for n in numbers if quantities else ():
        fields[f"row_{n}_{NUMBER}"] = make_count("Tooth", 1, teeth or MOST_TEETH, "teeth")
        for name in quantities:
            fields[f"row_{n}_{name}"] = _make_length(name)
    return fields


def _make_length(name: str) -> LengthText:
    if name == HEIGHT:
        field = LengthText(label=LABELS[name], least_nm=-CM_NM, most_nm=0, required=False)
        field.widget.attrs["data-signed"] = ""
        return field
    return LengthText(label=LABELS[name], most_nm=MEASURES[name].most_nm, required=False)


def read_rows(form: InspectForm, data: Mapping[str, Any]) -> dict[int, dict[str, Typed]]:
    """By tooth, what was read of it; rows without a tooth are left out."""
    numbered = {data.get(f"row_{n}_{NUMBER}"): n for n in form.row_numbers}
    return {tooth: _read_row(form, data, n) for tooth, n in numbered.items() if tooth}


def check_rows(form: InspectForm, data: Mapping[str, Any]) -> None:
    """Each row is whole and of a tooth of its own; heights are of every tooth, or stand beside the total reading."""
    teeth_before: set[int] = set()
    for n in form.row_numbers:
        tooth, read = data.get(f"row_{n}_{NUMBER}"), _read_row(form, data, n)
        if tooth in teeth_before:
            form.add_error(f"row_{n}_{NUMBER}", f"Tooth {tooth} is written above: put it into one row.")
        if tooth or read:
            _check_row(form, n, tooth, read)
        teeth_before |= {tooth} if tooth else set()
    _check_heights(form, data)


def _read_row(form: InspectForm, data: Mapping[str, Any], n: int) -> dict[str, Typed]:
    return {name: data[f"row_{n}_{name}"] for name in form.row_quantities if data.get(f"row_{n}_{name}") is not None}


def _check_row(form: InspectForm, n: int, tooth: int | None, read: Mapping[str, Typed]) -> None:
    if tooth is None and f"row_{n}_{NUMBER}" not in form.errors:
        form.add_error(f"row_{n}_{NUMBER}", "Write which tooth this was read on.")
    if not read and not any(f"row_{n}_{name}" in form.errors for name in form.row_quantities):
        form.add_error(f"row_{n}_{form.row_quantities[1]}", f"Write what was read on tooth {tooth}, or empty the row.")
    if "rim_depth" in read and "rim_land" in read:
        form.add_error(f"row_{n}_rim_land", "Write the depth or the wear land, one of the two.")
    for side in ("left", "right"):
        has = {name for name in (f"{side}_depth", f"{side}_reach") if name in read}
        for name in {f"{side}_depth", f"{side}_reach"} - has if has else ():
            if f"row_{n}_{name}" not in form.errors:
                form.add_error(f"row_{n}_{name}", "A mark on a side needs its depth and how far in it reaches.")


def _check_heights(form: InspectForm, data: Mapping[str, Any]) -> None:
    """Every tooth read, of which one is 0; else the total reading, below which no tooth stands."""
    heights = {
        data[f"row_{n}_{NUMBER}"]: (n, data[f"row_{n}_{HEIGHT}"].nm)
        for n in form.row_numbers
        if data.get(f"row_{n}_{NUMBER}") and data.get(f"row_{n}_{HEIGHT}") is not None
    }
    tir, teeth = data.get("tir"), data.get("teeth") or form.tool.teeth
    if not heights or "tir" in form.errors:
        return
    if len(heights) == teeth:
        _check_every_height(form, heights, total=tir is not None)
    elif tir is None:
        words = "Not every tooth was read. Write the total reading as well: the others count as low as that allows."
        form.add_error("tir", words)
    else:
        _check_within_total(form, heights, tir)


def _check_every_height(form: InspectForm, heights: Mapping[int, tuple[int, int]], *, total: bool) -> None:
    if total:
        form.add_error("tir", "Every tooth was read: leave the total reading empty.")
    if all(nm for _, nm in heights.values()):
        n, _ = next(iter(heights.values()))
        form.add_error(f"row_{n}_{HEIGHT}", "The highest tooth reads 0, the others below it.")


def _check_within_total(form: InspectForm, heights: Mapping[int, tuple[int, int]], tir: Typed) -> None:
    most = show_with_unit(tir.nm, form.line.batch.customer.unit)
    for n, nm in heights.values():
        if -nm > tir.nm:
            form.add_error(f"row_{n}_{HEIGHT}", f"Lower than the total reading allows, {most}.")


def has_damage(form: InspectForm, data: Mapping[str, Any]) -> bool:
    """Whether any tooth has damage of its own."""
    rows = (_read_row(form, data, n) for n in form.row_numbers)
    return any(typed.nm for read in rows for name, typed in read.items() if name != HEIGHT)


def to_rows(readings: Iterable[Reading], quantities: Sequence[str]) -> dict[str, str]:
    """What was typed of single teeth, by the fields of the rows, the lowest number first."""
    by_tooth: dict[int, dict[str, str]] = {}
    for reading in readings:
        if reading.tooth and not reading.mark and reading.quantity in quantities:
            by_tooth.setdefault(reading.tooth, {})[reading.quantity] = reading.text
    values = {}
    for n, tooth in enumerate(sorted(by_tooth), start=1):
        values[f"row_{n}_{NUMBER}"] = str(tooth)
        values |= {f"row_{n}_{name}": text for name, text in by_tooth[tooth].items()}
    return values


def describe_teeth(readings: Iterable[Reading], unit: Unit) -> list[tuple[str, str]]:
    """(which tooth, what was read of it) of a cutter with damage on single teeth; nothing of other tools."""
    by_tooth: dict[int, list[str]] = {}
    single = [reading for reading in readings if reading.tooth and not reading.mark and reading.quantity in WORDS]
    for reading in single if any(reading.quantity in BY_TOOTH for reading in single) else ():
        length = show_with_unit(abs(reading.nm or 0), unit)
        by_tooth.setdefault(reading.tooth, []).append(WORDS[reading.quantity].format(length))
    return [(f"Tooth {tooth}", ", ".join(words)) for tooth, words in sorted(by_tooth.items())]
