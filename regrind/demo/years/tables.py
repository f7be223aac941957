"""The tables that the years fill, in the order in which they may be written."""

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan, Reading
from regrind.office.models import Parcel, ParcelPiece
from regrind.record.models import Batch, Line, LineChange, Piece, Step, Tool
from regrind.shop.models import Event

from .bulk import Bulk, set_sequences

ROW = ("event_id", "piece_id", "revision")
PIECE = (
    *("batch_id", "original_line", "number", "line_id", "tool_id", "before_here", "before_elsewhere"),
    *("complaint_of_id", "complaint", "status", "result", "reason", "steps_taken", "last_event_id"),
)
READING = (
    *("event_id", "inspection_id", "final_check_id", "quantity", "nm", "text", "unit"),
    *("gauge_id", "gauge_name", "resolution_nm"),
)


class Tables:
    """One `Bulk` a table."""

    def __init__(self) -> None:
        self.events = Bulk(Event, "kind", "by_id", "done_at", "recorded_at")
        self.batches = Bulk(
            Batch, "number", "customer_id", "order_number", "due", "received_at", "received_by_id", "closed"
        )
        self.lines = Bulk(Line, "batch_id", "number", "family_id", "unit_price_minor", "price_since")
        self.changes = Bulk(LineChange, "event_id", "line_id", "kind", "description")
        self.tools = Bulk(Tool, "tag", "customer_id", "family_id", "customer_number")
        self.pieces = Bulk(Piece, *PIECE)
        self.steps = Bulk(Step, "event_id", "piece_id", "number", "pair_id", "result", "reason")
        self.inspections = Bulk(Inspection, *ROW, "diameter_source", "method", "damage")
        self.plans = Bulk(
            Plan, *ROW, "inspection_id", "decision", "result", "reason", "diameter_nm", "regrinds_left", "grinds"
        )
        self.grinds = Bulk(Grind, *ROW, "plan_id", "setup", "grinds", "wheel_id", "minutes_hundredths")
        self.checks = Bulk(FinalCheck, *ROW, "grind_id", "corner", "passed", "sent_back")
        self.readings = Bulk(Reading, *READING)
        self.parcels = Bulk(Parcel, "event_id", "batch_id", "number")
        self.parcel_pieces = Bulk(ParcelPiece, "event_id", "parcel_id", "piece_id")

    def all(self) -> list[Bulk]:
        return list(vars(self).values())

    def write(self) -> None:
        for bulk in self.all():
            bulk.write()
        set_sequences([self.events])  # the next part's own event is numbered by the database

    def finish(self) -> None:
        self.write()
        set_sequences(self.all())
