"""What the page of a tool shows: its size, corner and coating now, and its visits. No price, and no other tool."""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from regrind.bench.models import FinalCheck
from regrind.paper import text, values
from regrind.record.kinds import name_part
from regrind.record.models import Piece, Tool

from ..models import ParcelPiece
from ..papers.common import (
    Rows,
    coating_now,
    corner_now,
    day_of,
    gather,
    length,
    resolution_of,
    style,
    tool_name,
    tool_name_now,
)


@dataclass(frozen=True)
class Visit:
    """One visit. returned: None while it is here. work: what was ground, or why nothing. diameter: after grinding."""

    received: date
    returned: date | None
    work: str
    diameter: str


@dataclass(frozen=True)
class ToolShown:
    """diameter, corner, coating: as they are now, "" where nobody recorded it. visits: the newest first."""

    tag: str
    name: str
    part_number: str
    diameter: str
    corner: str
    coating: str
    visits: list[Visit]


def show_tool(tool: Tool) -> ToolShown | None:
    """None where the tool has no visit that counts. A fixed number of queries."""
    pieces = _visits(tool)
    if not pieces:
        return None
    rows, last = gather(pieces), pieces[-1]
    checked = next((piece for piece in reversed(pieces) if rows.full_check(piece)), last)
    how, check = style(last.batch), rows.full_check(checked)
    parcels = ParcelPiece.objects.filter(piece__in=pieces).select_related("parcel__event")
    sent = {row.piece_id: day_of(row.parcel.done_at) for row in parcels}
    diameters = [_diameter(rows, piece, how) for piece in pieces]
    coating = coating_now(rows, checked)
    return ToolShown(
        tool.tag,
        tool_name_now(last.line) if coating else tool_name(last.line),
        tool.customer_number,
        next((size for size in reversed(diameters) if size), ""),
        corner_now(check, how, last.line.family.kind_data.corner),
        coating,
        [
            Visit(day_of(piece.batch.received_at), sent.get(piece.pk), _work(rows, piece), size)
            for piece, size in zip(reversed(pieces), reversed(diameters), strict=True)
        ],
    )


def _visits(tool: Tool) -> list[Piece]:
    pieces: QuerySet[Piece] = tool.visits.exclude(status="missing").filter(batch__cancelled="")
    related = pieces.select_related("batch__customer", "line__family", "line__batch__customer", "tool")
    return list(related.order_by("batch__received_at", "pk"))


def _diameter(rows: Rows, piece: Piece, how: values.Style) -> str:
    """As it was measured on this piece after grinding; of a like piece where that one stands for it."""
    check: FinalCheck | None = rows.full_check(piece)
    if check is None or check.diameter_nm is None:
        return ""
    size = length(check.diameter_nm, resolution_of(check, "diameter"))
    of_another = "" if check.piece_id == piece.pk else ", measured on a like tool of the same setup"
    return f"{text.dual(size, how)}{of_another}" if size else ""


def _work(rows: Rows, piece: Piece) -> str:
    if piece.result == "ground":
        return "ground: " + ", ".join(name_part(part) for part in rows.ground.get(piece.pk, ())) or "ground"
    return {"returned_unground": "returned unground", "scrap": "not worth grinding again"}.get(
        piece.result, "still here"
    )
