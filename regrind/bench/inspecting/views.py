"""The inspection of a line's pieces."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.geometry.defaults import Default
from regrind.record.dimension_words import deciding_words, say_assumed
from regrind.record.find import line_or_404, pieces_of
from regrind.record.models import Line, Piece
from regrind.record.undo_bar import undo_bar
from regrind.shop.fields import unit_choices
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .. import piece_strip
from ..calibration import overdue_gauges
from ..models import Inspection
from ..photographs.shown import measured_on_photos
from ..revisions import newest, revisions
from . import actions, damage_map
from .at_once import SENDS, act_at_once, build_sheet, show_sheet
from .fields import MARKS
from .forms import InspectForm
from .helix import find_deciding_helix
from .prefill import gauges_before, in_common, last_inspected, usual_depths
from .serialization import to_form

MORE = ("marks", "teeth", "end")  # asked of the form before it is saved: more rows, a field for each tooth, the end
ONE_A_ROW = ("_wear_land", "_number")  # a field that each row of marks or of single teeth has once
TAPS = ("at:", "every:", "mark:", "clear:")  # or tapped on the flank
OPEN = ("arrived", "inspected", "ready_to_grind", "ground")  # pieces that can be inspected, some of them again


@needs("bench")
@require_http_methods(["GET", "POST"])
def inspect(request: HttpRequest, number: str) -> HttpResponse:
    """The inspection of a line's pieces, once for all that are ticked, or of one."""
    line = line_or_404(number)
    everyone = list(pieces_of(line))
    pieces = [piece for piece in everyone if piece.status in OPEN]
    inspections = newest(Inspection, pieces)
    alone = piece_strip.selected_piece(request, pieces)
    sheet = build_sheet(request, line, pieces) if request.POST.get("do") in SENDS else None
    form = _form(request, line, [alone] if alone else pieces, inspections, alone)
    helix = find_deciding_helix(line, shop_settings())
    form.helix_first = helix is not None
    piece_strip.autofocus(request, form, "diameter")

    def show() -> HttpResponse:
        context = {
            "line": line,
            "form": form,
            "pieces": pieces,
            "unit": line.batch.customer.unit,
            "corrected": _corrected(form, inspections),
            "alone": alone,
            "helix_hint": _helix_hint(line, helix),
            "overdue": overdue_gauges(form),
            "assumed": [] if form.is_bound else deciding_words(line),
            "strip": piece_strip.build_strip(line, everyone, pieces, alone, "bench:inspect"),
            **show_sheet(sheet or build_sheet(request, line, pieces)),
            "undo": None if form.is_bound else undo_bar(person_of(request), pieces),
        }
        return render(request, "bench/inspect.html", context, status=422 if form.is_bound or sheet else 200)

    def act() -> str:
        unit_choices.save_units(form, f"line:{line.pk}")
        actions.inspect(by=person_of(request), pieces=form.chosen(), expected=form.revisions(), **form.values())
        following = piece_strip.next_url(line, alone, everyone, "bench:inspect", "arrived") if alone else None
        return following or reverse("bench:plan", args=[str(line)])

    if sheet:
        return save(request, sheet, act=lambda: act_at_once(request, sheet, line), show=show)
    return save(request, form, act=act, show=show)


def _form(
    request: HttpRequest, line: Line, pieces: list[Piece], inspections: dict[int, Inspection], alone: Piece | None
) -> InspectForm:
    """The form as sent; or, to be filled in: more rows asked for, a correction, or afresh with the last gauges.

    A piece that is open by itself also has, as on the piece before, what holds for the whole tray.
    """
    common: dict[str, Any] = {"line": line, "pieces": pieces, "expected": revisions(Inspection, pieces)}
    more = request.POST.get("more", "")
    if request.POST.get("do") in SENDS:
        return InspectForm(None, ticked=request.POST.getlist("pieces"), known=dict(request.POST.items()), **common)
    if request.method == "POST" and more not in MORE and not more.startswith(TAPS):
        return InspectForm(request.POST, **common)
    if request.method == "POST":
        return _with_more(request, line, more, common)
    ticked = request.GET.getlist("piece")
    if group := request.GET.get("group"):
        ticked = [str(pk) for pk, row in inspections.items() if str(row.copied_from_id or row.pk) == group]
    first = next((inspections[p.pk] for p in pieces if str(p.pk) in ticked and p.pk in inspections), None)
    if first and not first.copied_from_id:
        return InspectForm(None, ticked=ticked, known=to_form(first), **common)
    known = gauges_before(line)
    if alone and (before := last_inspected(line)):
        known |= in_common(before)
    return InspectForm(None, ticked=ticked, known=known, **common)


def _with_more(request: HttpRequest, line: Line, more: str, common: dict[str, Any]) -> InspectForm:
    """The form again with all that was typed, and more rows, a field for each tooth or what was tapped on the flank."""
    known: dict[str, Any] = dict(request.POST.items()) | {"full": False}
    rows = len([name for name in known if name.startswith(("mark_", "row_")) and name.endswith(ONE_A_ROW)])
    rows = min(damage_map.MOST_MARKS, rows)
    if more == "marks":
        known["rows"] = rows + MARKS
    first = InspectForm(None, known=known, **common)
    tapped = None
    if more.startswith(TAPS):
        tapped = damage_map.tap(known, more, line, len(first.tooth_names), rows, first.arc_nm)
    form = InspectForm(None, ticked=request.POST.getlist("pieces"), known=known, **common)
    opened = "teeth" if form.row_quantities else "runout" if more == "teeth" else "damage"
    form.opened, form.tapped, form.full = opened, tapped, bool(known["full"])
    form.end_tapped, form.rows_asked = more == "end" and "end_depth" in form.fields, more == "marks"
    form.usual_depths = usual_depths(form.line, *form.tapped_quantities())
    form.on_photos = measured_on_photos(form.line, form.by_id.values()) if tapped else ()
    form.focus_on_tapped()
    return form


def _helix_hint(line: Line, helix: Default | None) -> str:
    """Why the helix is asked for first."""
    if helix is None:
        return ""
    words = say_assumed(line, "helix_cdeg") or f"Not known: {helix.value:g}° is assumed"
    return f"{words}, and the relief as ground hangs on it. From 0° to 60°."


def _corrected(form: InspectForm, inspections: dict[int, Inspection]) -> Inspection | None:
    """The inspection that the first ticked piece has already: saving another corrects it."""
    ticked = set(form["pieces"].value() or [])
    rows = (inspections[p.pk] for key, p in form.by_id.items() if key in ticked and p.pk in inspections)
    return next(rows, None)
