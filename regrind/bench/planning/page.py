"""What the plan page of a line shows."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from regrind.geometry.units import Unit
from regrind.record.models import Line, Piece
from regrind.shop.fields.whole_numbers import read_whole

from .. import piece_strip
from ..drawings.face import draw_face
from ..drawings.flank import draw_flank
from ..drawings.profile import draw_profile
from ..drawings.section import draw_section
from ..drawings.sketch import draw_sketches
from ..drawings.tradeoff import draw_trade
from ..inspecting.serialization import describe_inspection
from ..kinds.registry import is_planned, kind_of
from ..models import Plan
from ..revisions import revisions
from .buttons import EXCEPTIONS, Button, Page, list_buttons
from .floors import name_floors
from .forms import BACK, DecideForm
from .groups import Group, group_pieces
from .more_work import find_gash_work, say_centre, say_coating
from .prices import price_options
from .shown import RECOMMENDED, Link, OptionRow, say_inspection, show_defaults, show_options
from .shown_sizes import show_sizes
from .wishes import say_option_against_wish
from .written import find_written, is_of_these


def show_page(
    request: HttpRequest, line: Line, everyone: Sequence[Piece], pieces: Sequence[Piece], sent: DecideForm | None = None
) -> HttpResponse:
    """The inspected pieces worked out; sent: the form that was refused, with what was typed."""
    groups, alone = group_pieces(line, pieces), piece_strip.selected_piece(request, pieces)
    group = _find_group(request, groups, alone)
    form = sent or _build_form(line, pieces, groups, group)
    context = {
        "line": line,
        "kind": line.family.kind_data,
        "planned": is_planned(line.family),
        "unit": line.batch.customer.unit,
        "form": form,
        "groups": groups,
        "group": group,
        "alone": alone,
        "ticked": _find_ticked(form, group, alone),
        "strip": _build_strip(line, everyone, groups, alone),
        "answers": line.answers.select_related("event"),
        "doubtful": False,
        "exception_open": bool(form.errors.get("reason")) or form.data.get("do") in (*BACK, "ask"),
        **show_sizes(request, line, groups, group),
    }
    context |= show_option(request, group, context["unit"])
    context |= _show_group(line, group, context)
    return render(request, "bench/plan.html", context, status=422 if form.is_bound else 200)


def _build_form(line: Line, pieces: Sequence[Piece], groups: Sequence[Group], group: Group | None) -> DecideForm:
    return DecideForm(
        line=line,
        pieces=pieces,
        expected=revisions(Plan, [piece for piece in pieces if piece.steps_taken > 1]),
        marks={piece.pk: one.mark for one in groups for piece in one.pieces},
        initial={"reason": (group.never or group.wreck) if group else ""},
    )


def _find_group(request: HttpRequest, groups: Sequence[Group], alone: Piece | None) -> Group | None:
    """The group that is open: that of the piece that is open by itself, the one asked for, else the first."""
    key = request.POST.get("group") or request.GET.get("group", "")
    return next((g for g in groups if alone in g.pieces or g.key == key), groups[0] if groups else None)


def _build_strip(
    line: Line, everyone: Sequence[Piece], groups: Sequence[Group], alone: Piece | None
) -> list[piece_strip.Place]:
    planned_here = [piece for group in groups for piece in group.pieces]
    return piece_strip.build_strip(line, everyone, planned_here, alone, "bench:plan")


def _show_group(line: Line, group: Group | None, context: dict[str, Any]) -> dict[str, Any]:
    """The open group: what was read of it, and what can be decided."""
    if group is None:
        return {}
    apart, has_sizes = len(context["groups"]) > 1, bool(context["sizes"])
    page = Page(
        group,
        context["option"],
        apart,
        has_sizes,
        bool(context["offered"]),
        line.matched,
        bool(context["answers"]),
        computed=is_planned(line.family),
        plan_sizes=context.get("plan_sizes", "Plan the ticked sizes"),
        asks_before_scrap=line.batch.customer.never_scrap_unasked,
        inspect=f"{reverse('bench:inspect', args=[str(line)])}?group={group.key}",
        count=len(context["ticked"]),
    )
    doubtful = _is_doubtful(page) or bool(context["form"].errors.get("why"))
    return {
        "doubtful": doubtful,
        "written": _offer_written(line, page, context["form"]) if doubtful else None,
        "sizes_shown": has_sizes and (apart or len(group.pieces) > 1 or line.matched),
        "inspected": say_inspection(group.root, context["unit"]),
        "readings": describe_inspection(group.root, context["unit"]),
        **_show_buttons(list_buttons(page)),
    }


def _offer_written(line: Line, page: Page, form: DecideForm) -> Plan | None:
    """The words by which such a tool was ground before: filled in for the same piece, offered for another."""
    written = find_written(line, page.option or {})
    if written and is_of_these(written, page.group.pieces):
        form.initial["why"] = written.reason
    return written


def _is_doubtful(page: Page) -> bool:
    """Whether grinding needs a reason, because nobody agreed to what the plan asks about."""
    asks = bool(page.group.by_hand) or (page.option or {}).get("verdict") == "ask"
    return asks and not page.answered


def _show_buttons(buttons: Sequence[Button]) -> dict[str, Any]:
    """The buttons of the bar; those that need a reason stand with the reasons, which one tap opens."""
    first = next((button.value for button in buttons if button.is_next), "")
    return {
        "buttons": [button for button in buttons if button.value not in EXCEPTIONS],
        "exceptions": [Button(value, words, value == first) for value, words in EXCEPTIONS.items()],
        "exception_next": first in EXCEPTIONS,
    }


def show_option(request: HttpRequest, group: Group | None, unit: Unit, *, stored: bool = False) -> dict[str, Any]:
    """One group's options with the one that is shown, its drawings, and what was assumed. stored: with a plan."""
    picked = _find_picked(request, group)
    if group is None or picked is None:
        return {"option": None, "picked": None}
    option, enlarged = group.options[picked], request.GET.get("enlarge") == "1"
    rows = _show_rows(group, unit, stored=stored)
    defaults = show_defaults(group.answer, unit)
    shown = {
        "picked": picked,
        "option": option,
        "stored": stored,
        "rows": rows,
        "shown_row": rows[picked],
        "price": rows[picked].price,
        "against_wish": say_option_against_wish(_wish(group), option, group.options, unit),
        "defaults": defaults,
        "assumed_count": len(defaults) + len(group.assumed),
    }
    if planner := kind_of(group.read.line.family).planner:
        sketches = planner.sketches(group.case, option, unit) if option["grind"] else {}
        figures = [*planner.figures(option, unit), *planner.deciding(group.case, option, unit)]
        return shown | {"kind_figures": figures, "sketches": draw_sketches(sketches)}
    return shown | {
        "has_corners": any(row.corner for row in rows),
        "gash": find_gash_work(option, group.case["tool"]["teeth"], timezone.localdate()),
        "centre": say_centre(option, group.root.centre_cutting),
        "coating": say_coating(option, group.read.line),
        "scale_link": _link_scale(option, rows[picked].link.query, enlarged),
        "drawings": _draw(group, picked, unit, enlarged),
    }


def _show_rows(group: Group, unit: Unit, *, stored: bool) -> list[OptionRow]:
    """The options with what each costs now; a stored plan without, since its price is the one that was charged."""
    mark, received_nm = "taken" if stored else RECOMMENDED, group.root.diameter_nm
    rows = show_options(_name_limits(group), group.preferred, unit, group.key, mark, received_nm)
    prices = [] if stored else price_options(group.read.line, group.options)
    return [replace(row, price=price) for row, price in zip(rows, prices, strict=True)] if prices else rows


def _name_limits(group: Group) -> dict[str, Any] | None:
    """The answer with the limits that nobody named called so."""
    options = [name_floors(option, group.read.line) for option in group.options]
    return group.answer and group.answer | {"options": options}


def _link_scale(option: Mapping[str, Any], query: str, enlarged: bool) -> Link | None:
    """The other scale of the stock; none where nothing comes off the sides."""
    if option.get("way") == "face" or not option["sides"]:
        return None
    return Link(query, "To scale") if enlarged else Link(f"{query}&enlarge=1", "Draw the stock thicker")


def _draw(group: Group, picked: int, unit: Unit, enlarged: bool) -> dict[str, Any]:
    """The drawings of one option; first: what stands beside the verdict, the profile where the corner has a shape."""
    option = group.options[picked]
    profile = draw_profile(group.case, option, unit)
    section = draw_face(group.case, option, unit) or draw_section(
        group.case, group.answer or {}, option, unit, enlarged
    )
    return {
        "first": profile or section,
        "second": section if profile else "",
        "flank": draw_flank(group.case, option, unit, group.options),
        "trade": draw_trade(group.options, picked, unit, f"?group={group.key}&option="),
    }


def _wish(group: Group) -> str:
    return group.read.batch.customer.keep


def _find_ticked(form: DecideForm, group: Group | None, alone: Piece | None) -> set[int]:
    """The pieces whose box is ticked: the one that is open by itself or those of the group, until somebody chose."""
    if form.is_bound:
        return {int(pk) for pk in form["pieces"].value() or [] if str(pk).isdecimal()}
    if alone:
        return {alone.pk}
    return {piece.pk for piece in group.pieces} if group else set()


def _find_picked(request: HttpRequest, group: Group | None) -> int | None:
    """The option that is shown: the one asked for, else the recommended one."""
    if group is None or not group.options:
        return None
    index = read_whole(request.POST.get("option") or request.GET.get("option"), 3)
    return index if index is not None and index < len(group.options) else group.preferred
