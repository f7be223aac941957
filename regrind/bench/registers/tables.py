"""The registers as tables: what each row shows of a gauge, a wheel or a work holding."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Model
from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.geometry.units import Unit, show_fine, show_with_unit
from regrind.shop.models import Gauge, Wheel


@dataclass(frozen=True)
class Column:
    """A column's title, and whether it holds figures."""

    title: str
    number: bool = False


@dataclass(frozen=True)
class Cell:
    """One cell. look: "" plain, quiet, "mark assumed", or outside for what is wrong."""

    label: str
    text: str
    look: str = ""
    number: bool = False


@dataclass(frozen=True)
class TableRow:
    name: str
    address: str
    cells: list[Cell]


COLUMNS = {
    "gauges": ("Kind", "Resolution", "Standard uncertainty", "Measures up to", "Calibration"),
    "wheels": ("Abrasive, grit, bond, shape", "Diameter", "Trued runout", "Marked maximum"),
    "holdings": ("Note",),
}
NUMBERS = ("Resolution", "Standard uncertainty", "Measures up to", "Diameter", "Trued runout", "Marked maximum")
ADDRESS = {"gauges": "bench:gauge", "wheels": "bench:wheel", "holdings": "bench:holding"}


def list_columns(register: str) -> list[Column]:
    return [Column(title, title in NUMBERS) for title in ("Name", *COLUMNS[register], "Use")]


def list_rows(register: str, rows: Sequence[Model], unit: Unit) -> list[TableRow]:
    """The rows of a register: gauges, wheels or holdings."""
    cells: dict[str, Callable[[Any, Unit], list[Cell]]] = {
        "gauges": _gauge_cells,
        "wheels": _wheel_cells,
        "holdings": lambda row, _: [Cell("note", row.note)],
    }
    return [
        TableRow(str(row), reverse(ADDRESS[register], args=[row.pk]), [*cells[register](row, unit), _use(row)])
        for row in rows
    ]


def _use(row: Any) -> Cell:
    return Cell("use", "" if row.in_use else "not in use", "quiet")


def _gauge_cells(gauge: Gauge, unit: Unit) -> list[Cell]:
    kind = gauge.get_what_display() + (f", {gauge.anvil_cdeg / 100:g}°" if gauge.anvil_cdeg else "")
    uncertain = gauge.uncertainty_nm
    return [
        Cell("kind", kind),
        Cell("resolution", show_fine(gauge.resolution_nm, unit), number=True),
        Cell(
            "standard uncertainty",
            show_fine(uncertain, unit) if uncertain else "not recorded",
            "" if uncertain else "quiet",
            number=True,
        ),
        Cell(
            "measures up to",
            show_with_unit(gauge.most_nm, unit) if gauge.most_nm else "not recorded",
            "" if gauge.most_nm else "quiet",
            number=True,
        ),
        _calibration(gauge, timezone.localdate()),
    ]


def _calibration(gauge: Gauge, today: date) -> Cell:
    if gauge.calibrated_until is None or gauge.overdue(today):
        return Cell("calibration", gauge.state(today), "outside")
    return Cell("calibration", f"until {date_format(gauge.calibrated_until, 'j M Y')}")


def _wheel_cells(wheel: Wheel, unit: Unit) -> list[Cell]:
    description = " ".join(part for part in (wheel.get_abrasive_display(), wheel.grit, wheel.bond, wheel.shape) if part)
    runout, most = wheel.trued_runout_nm, wheel.marked_maximum_rpm
    return [
        Cell("what it is", description),
        Cell("diameter", show_with_unit(wheel.diameter_nm, unit), number=True),
        Cell(
            "trued runout",
            "not measured" if runout is None else show_fine(runout, unit),
            "quiet" if runout is None else "",
            number=True,
        ),
        Cell(
            "marked maximum",
            f"{most} rev/min" if most else "none on record",
            "" if most else "mark assumed",
            number=True,
        ),
    ]
