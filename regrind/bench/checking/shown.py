"""Checked pieces as the page shows them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import Unit
from regrind.record.models import Piece

from ..grinding.card_section import Figure
from ..models import FinalCheck
from .fields import CORNER_SIZES
from .findings import CORNERS, RELIEF, say_expanded, say_limit


@dataclass(frozen=True)
class Shown:
    """A piece with its newest check and what that found."""

    piece: Piece
    row: FinalCheck
    findings: list[dict[str, Any]]

    @property
    def alike(self) -> tuple[int | None, bool, str, str] | None:
        """What pieces share that were not read themselves and went the same way; None for one that was read."""
        if self.compared or self.row.diameter_nm is not None or self.row.in_full:
            return None
        return self.row.copied_from_id, self.row.passed, self.row.sent_back, self.piece.status

    @property
    def relief(self) -> dict[str, Any] | None:
        return next((item for item in self.findings if item["what"] == RELIEF), None)

    @property
    def compared(self) -> list[dict[str, Any]]:
        return [item for item in self.findings if item["state"]]


@dataclass(frozen=True)
class Row:
    """Pieces that share a row of the table, with what was compared: (state, name, limit and uncertainty)."""

    pieces: list[Piece]
    row: FinalCheck
    compared: list[tuple[str, str, str]]
    outcome: str


def in_runs(shown: Sequence[Shown], unit: Unit) -> list[Row]:
    """Pieces that follow each other and have nothing of their own to show share a row."""
    rows: list[Row] = []
    before: Shown | None = None
    for item in shown:
        if before is not None and item.alike is not None and item.alike == before.alike:
            rows[-1].pieces.append(item.piece)
        else:
            rows.append(Row([item.piece], item.row, _compared(item, unit), _outcome(item)))
        before = item
    return rows


def _compared(item: Shown, unit: Unit) -> list[tuple[str, str, str]]:
    """(state, name, limit with uncertainty and source) of each comparison."""
    rows = []
    for finding in item.compared:
        notes = (say_limit(finding, unit), say_expanded(finding, unit), str(finding.get("source") or ""))
        rows.append((finding["state"], finding["what"], ", ".join(note for note in notes if note)))
    return rows


def _outcome(item: Shown) -> str:
    """`released`, `released outside a limit: …`, `sent back: …`."""
    if not item.row.passed:
        return f"sent back: {item.row.sent_back}"
    because = f" outside a limit: {item.row.released_because}" if item.row.released_because else ""
    return f"{item.piece.get_status_display()}{because}"


def list_facts(item: Shown) -> list[Figure]:
    """What was read on the piece that was checked in full."""
    row, kind = item.row, item.piece.line.family.kind_data
    figures = [
        Figure(kind.size_name, row.diameter_nm, first=True),
        Figure("At the back of the flute", row.back_diameter_nm),
        Figure("Primary relief", text=_angle(row.relief_cdeg), note=_relief_note(item)),
        Figure("Runout on the sides", row.runout_sides_nm, note=_unjudged(item, "runout on the sides")),
        Figure("Runout on the end teeth", row.runout_end_nm, note=_unjudged(item, "runout on the end teeth")),
        Figure(kind.angle.capitalize() or "Point angle", text=_angle(row.point_angle_cdeg)),
        Figure("Lip height difference", row.lip_height_nm),
        Figure("Width", row.width_nm),
        Figure("Chamfer, along the axis", row.chamfer_length_nm),
        Figure(_corner_name(item), row.corner_nm, note=_corner_note(item)),
        Figure("Overall length", row.overall_nm),
        Figure("Usable length", row.usable_nm),
    ]
    return [figure for figure in figures if figure.known]


def _corner_name(item: Shown) -> str:
    return CORNER_SIZES.get(item.piece.line.family.kind_data.corner, "Corner size")


def _corner_note(item: Shown) -> str:
    judged = any(finding["what"] in CORNERS.values() for finding in item.compared)
    return "" if judged else "no limit is recorded, not judged"


def _angle(cdeg: int | None) -> str:
    return "" if cdeg is None else f"{cdeg / 100:.1f}°"


def _relief_note(item: Shown) -> str:
    """The relief's uncertainty, the way its distance was taken, and that nothing judges it where nothing does."""
    finding = item.relief
    if finding is None:
        return ""
    parts = [
        f"± {_angle(finding['expanded_cdeg'])}" if finding["expanded_cdeg"] else "",
        f"half a digit {_angle(finding['half_digit_cdeg'])}" if finding["half_digit_cdeg"] else "",
        _unjudged(item, "primary relief"),
    ]
    return ", ".join(part for part in parts if part)


def _unjudged(item: Shown, quantity: str) -> str:
    judged = any(finding["what"] == quantity for finding in item.compared)
    return "" if judged else "no limit is recorded, not judged"
