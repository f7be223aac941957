"""Pieces as a download: what each was, what was done to it, and what it is now."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import QuerySet, Sum

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.bench.readings import fetch_readings
from regrind.bench.revisions import first_inspections, newest, newest_with_readings
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Family, Piece

from .cells import Column

AT_A_TIME = 500


@dataclass
class PieceRow:
    """A piece with its rows of the bench; the tools of its line as one family."""

    piece: Piece
    tool: Family
    inspection: Inspection | None = None
    plan: Plan | None = None
    check: FinalCheck | None = None
    minutes_hundredths: int | None = None


def list_pieces(pieces: QuerySet[Piece]) -> Iterator[PieceRow]:
    """The rows of these pieces, in their order; a few queries for each 500."""
    ordered = list(pieces.select_related("batch__customer", "line__family", "tool"))
    for start in range(0, len(ordered), AT_A_TIME):
        yield from _rows(ordered[start : start + AT_A_TIME])


def _rows(pieces: list[Piece]) -> Iterator[PieceRow]:
    received, plans = first_inspections(pieces), newest(Plan, pieces)
    checks = newest_with_readings(FinalCheck, pieces)
    fetch_readings(received.values())
    shares = Grind.objects.filter(piece__in=pieces).order_by().values_list("piece")
    minutes = dict(shares.annotate(all=Sum("minutes_hundredths")))
    tools = {line.pk: tool_of(line) for line in {piece.line for piece in pieces}}
    for piece in pieces:
        pk, tool = piece.pk, tools[piece.line_id]
        yield PieceRow(piece, tool, received.get(pk), plans.get(pk), checks.get(pk), minutes.get(pk))


def _received(row: PieceRow) -> int | None:
    """The diameter as it was received, where it was read and not only marked on the tool."""
    read = row.inspection
    return read.diameter_nm if read and read.diameter_source == "measured" else None


def _planned(row: PieceRow) -> Plan | None:
    """The plan by which it was ground."""
    return row.plan if row.plan and row.plan.decision == "grind" else None


PIECES = (
    Column("Piece", lambda row: str(row.piece)),
    Column("Box", lambda row: row.piece.batch.number),
    Column("Customer", lambda row: row.piece.batch.customer.name),
    Column("Received", lambda row: row.piece.batch.received_at.date()),
    Column("Customer’s part number", lambda row: row.piece.line.customer_tool_number),
    Column("Tag", lambda row: row.piece.tool.tag if row.piece.tool else ""),
    Column("Kind", lambda row: row.tool.kind_data.name),
    Column("Diameter when new", lambda row: row.tool.nominal_nm, "DC", "length"),
    Column("Flutes", lambda row: row.tool.teeth, "NOF"),
    Column("Material", lambda row: row.tool.material),
    Column("Coating when new", lambda row: row.tool.coating, "COATING"),
    Column("Helix", lambda row: row.tool.helix_cdeg, "FHA", "angle"),
    Column("Corner radius when new", lambda row: row.tool.corner_radius_nm, "RE", "length"),
    Column("Point angle when new", lambda row: row.tool.point_angle_cdeg, "SIG", "angle"),
    Column("Shank diameter", lambda row: row.tool.shank_nm, "DCONMS", "length"),
    Column("Flute length when new", lambda row: row.tool.flute_length_nm, "LCF", "length"),
    Column("Overall length when new", lambda row: row.tool.overall_nm, "OAL", "length"),
    Column("State", lambda row: row.piece.state_in_words),
    Column("Reason", lambda row: row.piece.reason),
    Column("Diameter as received", _received, "", "length"),
    Column("Planned diameter", lambda row: (plan := _planned(row)) and plan.diameter_nm, "", "length"),
    Column("Planned off the end", lambda row: (plan := _planned(row)) and plan.cut_back_nm, "", "length"),
    Column("Regrinds left", lambda row: (plan := _planned(row)) and plan.regrinds_left),
    Column("Diameter now", lambda row: row.check and row.check.diameter_nm, "DC", "length"),
    Column("Usable length now", lambda row: row.check and row.check.usable_nm, "LU", "length"),
    Column("Overall length now", lambda row: row.check and row.check.overall_nm, "OAL", "length"),
    Column("Primary relief now", lambda row: row.check and row.check.relief_cdeg, "", "angle"),
    Column("Runout on the sides now", lambda row: row.check and row.check.runout_sides_nm, "", "length"),
    Column("Coating now", lambda row: row.check.coating if row.check else "", "COATING"),
    Column("Minutes", lambda row: row.minutes_hundredths, "", "hundredths"),
)
