"""What the head of every page about a line says of it."""

from dataclasses import dataclass

from django import template
from django.urls import reverse
from django.utils.dateformat import format as date_format

from regrind.geometry.units import show_with_unit
from regrind.record.limit_words import say_tooth_limits
from regrind.record.models import Line

register = template.Library()


@dataclass(frozen=True)
class Fact:
    """A few words; address: where they lead; badge: the style of a badge, None for plain words."""

    text: str
    address: str = ""
    badge: str | None = None


@register.simple_tag
def line_facts(line: Line) -> list[Fact]:
    """`{% line_facts line as facts %}`: tool, customer, batch, and what was agreed for the line."""
    batch = line.batch
    return [
        Fact(line.tools),
        Fact(str(batch.customer)),
        Fact(f"batch {batch.number}", address=reverse("receiving:batch", args=[batch.number])),
        *([Fact("rush", badge="rush")] if batch.rush else []),
        *([Fact(f"due {date_format(batch.due, 'j M Y')}")] if batch.due else []),
        *_limits(line),
        *_terms(line),
        *([Fact(f"customer's part number {line.customer_tool_number}")] if line.customer_tool_number else []),
    ]


def _limits(line: Line) -> list[Fact]:
    """The sizes that were agreed."""
    unit, facts = line.batch.customer.unit, []
    if line.matched:
        within = f" within {show_with_unit(line.match_tolerance_nm, unit)}" if line.match_tolerance_nm else ""
        facts.append(Fact(f"keep matched{within}", badge=""))
    smallest, shortest = line.smallest_diameter_nm(), line.shortest_usable_nm()
    if smallest and line.holds_smallest():
        facts.append(Fact(f"not under {show_with_unit(smallest, unit)}", badge=""))
    clip = line.widest_chamfer_nm()
    if clip and "corner" in line.family.kind_data.grinds:
        facts.append(Fact(f"corners clipped up to {show_with_unit(clip, unit)}"))
    if line.other_radius_nm:
        facts.append(Fact(f"corner radius {show_with_unit(line.other_radius_nm, unit)} will do"))
    if line.hole_depth_nm:
        facts.append(Fact(f"holes up to {show_with_unit(line.hole_depth_nm, unit)} deep", badge=""))
    if line.oversize_nm:
        facts.append(Fact(f"holes at most {show_with_unit(line.oversize_nm, unit)} larger", badge=""))
    if hole := line.hole_words():
        facts.append(Fact(f"reams {hole}", badge=""))
    if line.smaller_holes:
        facts.append(Fact(f"smaller holes that will do: {line.smaller_holes}"))
    facts += [Fact(words, badge="") for words in say_tooth_limits(line, unit)]
    if shortest:
        facts.append(Fact(f"usable length {show_with_unit(shortest, unit)} or more", badge=""))
    return facts


def _terms(line: Line) -> list[Fact]:
    """The customer's terms."""
    customer = line.batch.customer
    facts = [Fact(customer.get_keep_display(), badge="")] if customer.keep else []
    if customer.always_ask:
        facts.append(Fact("always ask first", badge=""))
    if customer.never_scrap_unasked:
        facts.append(Fact("ask before scrapping", badge=""))
    return facts
