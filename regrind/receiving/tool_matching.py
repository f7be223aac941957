"""Which tool this is: by its tag, by the customer's own number, or among this customer's tools that fit."""

from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.geometry.units import Unit, show_with_unit
from regrind.record.find import RECENT
from regrind.record.models import Customer, Line, Piece, Tool
from regrind.record.tags import read_tag

MOST = 60


@dataclass
class Candidate:
    """A followed tool that may be this piece, with its last visit here."""

    tool: Tool
    last: Piece | None

    def describe(self, unit: Unit) -> str:
        """`last .2410 in, last here 3 Nov 2026 as 391-1-2`."""
        nm = self.tool.last_diameter_nm
        words = "no diameter recorded" if nm is None else f"last {show_with_unit(nm, unit)}"
        if self.last:
            received = date_format(timezone.localtime(self.last.batch.received_at), "j M Y")
            words += f", last here {received} as {self.last}"
        return words


def fitting_tools(line: Line, now_nm: int | None = None) -> list[Candidate]:
    """This customer's followed tools that may be one of these, the newest visit first; three queries.

    Same family, not in this box already, last diameter no smaller than today's (`now_nm`; None leaves that out: a
    tool never grows).
    """
    tools = Tool.objects.filter(customer=line.batch.customer_id, family=line.family_id)
    tools = tools.exclude(pk__in=Piece.objects.filter(batch=line.batch_id, tool__isnull=False).values("tool"))
    if now_nm is not None:
        tools = tools.filter(Q(last_diameter_nm=None) | Q(last_diameter_nm__gte=now_nm))
    newest = list(tools.order_by("-pk")[:MOST])
    visits: dict[int | None, Piece] = {}
    for visit in Piece.objects.filter(tool__in=newest).select_related("batch").order_by("batch__number"):
        visits[visit.tool_id] = visit
    rows = [Candidate(tool, visits.get(tool.pk)) for tool in newest]
    return sorted(rows, key=lambda row: -(row.last.batch.number if row.last else 0))


def find_tool(customer: Customer, text: str) -> Tool | None:
    """The customer's tool of a life tag or of their own number; None where there is none or more than one."""
    tools = Tool.objects.filter(customer=customer).select_related("family")
    tag = read_tag(text)
    tool = tools.filter(tag=tag).first() if tag else None
    if tool is None:
        theirs = list(tools.filter(customer_number__iexact=text.strip())[:2])
        tool = theirs[0] if len(theirs) == 1 else None
    return tool


def earlier_pieces(piece: Piece) -> list[Piece]:
    """Pieces of this customer that went back and may have come again: the same tool first, then the same family."""
    gone = (
        Piece.objects.filter(batch__customer=piece.batch.customer_id, status="left", complaints=None)
        .exclude(batch=piece.batch_id)
        .select_related("batch", "line__family", "tool")
        .order_by("-batch__number", "original_line", "number")
    )
    same_tool = list(gone.filter(tool=piece.tool_id)[:5]) if piece.tool_id else []
    theirs = Line.objects.filter(family=piece.line.family_id, batch__customer=piece.batch.customer_id)
    like = gone.filter(line__in=theirs.order_by("-pk").values("pk")[:RECENT]).exclude(pk__in=[p.pk for p in same_tool])
    return same_tool + list(like[:MOST])
