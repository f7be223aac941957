"""What was ground on a line, one setup at a time."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.paper import cautions
from regrind.record.find import line_or_404, pieces_of
from regrind.record.kinds import is_radial
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.record.owner_changes import mark_made_under
from regrind.record.undo_bar import undo_bar
from regrind.shop.fields import unit_choices
from regrind.shop.models import Wheel
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..kinds.registry import kind_of
from ..models import FinalCheck, Grind, Plan
from ..planning.wishes import say_against_wish
from ..revisions import newest, revisions
from . import actions
from .card_section import Figure
from .forms import GrindForm
from .prefill import Aim, aim, differ, last_used, name_end, option_of

FOLDED = {"order", "order_sure", "roughing", "finishing", "note", "done_at", "gashed"}


@needs("bench")
@require_http_methods(["GET", "POST"])
def grind(request: HttpRequest, number: str) -> HttpResponse:
    """What was ground on a line's pieces: the plan's figures and the last wheel are filled in."""
    line = line_or_404(number)
    pieces = _ready_to_grind(line)
    aims = aim(pieces, newest(Plan, pieces))
    form = _form(request, line, pieces, aims)

    def show() -> HttpResponse:
        return _page(request, line, form, aims)

    def act() -> str:
        unit_choices.save_units(form, f"line:{line.pk}")
        values = form.values()
        actions.grind(by=person_of(request), pieces=form.chosen(), expected=form.revisions(), **values)
        _notify(request, values)
        return reverse("bench:grind" if values["follows"] else "bench:check", args=[str(line)])

    return save(request, form, act=act, show=show)


def _ready_to_grind(line: Line) -> list[Piece]:
    return [piece for piece in pieces_of(line) if piece.status == "ready_to_grind"]


def _form(request: HttpRequest, line: Line, pieces: Sequence[Piece], aims: Sequence[Aim]) -> GrindForm:
    form = GrindForm(
        request.POST if request.method == "POST" else None,
        line=line,
        pieces=pieces,
        expected=revisions(Grind, pieces),
        aims=aims,
        initial=last_used(line, aims),
        ticked=request.GET.getlist("piece"),
    )
    unit_choices.apply_units(form, f"line:{line.pk}", line.batch.customer.unit)
    return form


def _notify(request: HttpRequest, values: dict[str, Any]) -> None:
    wheel = values["wheel"]
    if wheel and not wheel.marked_maximum_rpm:
        messages.warning(request, f"{wheel} has no marked maximum on record: read it on the wheel first.")
    if values["follows"]:
        messages.success(request, "Saved. The pieces stay ready to grind: the rest follows in another setup.")


def _page(request: HttpRequest, line: Line, form: GrindForm, aims: Sequence[Aim]) -> HttpResponse:
    pieces = [item.piece for item in aims]
    sent_back = {pk: row for pk, row in newest(FinalCheck, pieces).items() if not row.passed}
    unmarked = Wheel.objects.filter(in_use=True, marked_maximum_rpm=None)
    return render(
        request,
        "bench/grind.html",
        {
            "line": line,
            "form": form,
            "unit": line.batch.customer.unit,
            "groups": list_groups(aims),
            "made_under": _made_under(line, aims),
            "sent_back": [(piece, sent_back[piece.pk]) for piece in pieces if piece.pk in sent_back],
            "hints": _hints(form, aims),
            "unmarked": ", ".join(str(wheel) for wheel in unmarked),
            "cautions": _cautions(line, aims),
            "undo": None if form.is_bound else undo_bar(person_of(request), pieces),
            "kind": line.family.kind_data,
            "more_words": _name_more(form),
            "open_more": bool(set(form.errors) & FOLDED),
        },
        status=422 if form.is_bound else 200,
    )


def _name_more(form: GrindForm) -> str:
    """What the fold holds, for tools of this kind."""
    names = (("order", form.has_order), ("gash", form.has_gash))
    return ", ".join(["What was taken", *(name for name, asked in names if asked), "note", "time"])


def _made_under(line: Line, aims: Sequence[Aim]) -> str:
    """Another customer's name, where a plan that is to be ground was made under the limits of that one."""
    plans = [item.plan for item in aims if item.plan]
    mark_made_under(line, plans)
    return ", ".join(sorted({plan.made_under for plan in plans if plan.made_under}))  # type: ignore[attr-defined]


def _hints(form: GrindForm, aims: Sequence[Aim]) -> dict[str, str]:
    """What stands beside the fields that are filled in, or that may stay empty."""
    of_these = form.initial.get("of_these_tools")
    words = "as last used for these tools" if of_these else "as last used on other tools: choose what suits these"
    hints = {name: words for name in ("wheel", "holding") if form.initial.get(name)}
    for name, values in (("infeed", [one.infeed_nm for one in aims]), ("end_taken", [one.end_nm for one in aims])):
        if differ(values):
            hints[name] = "left empty: as planned for each"
        elif form.initial.get(name):
            hints[name] = "filled in from the plan"
    return hints


def _cautions(line: Line, aims: Sequence[Aim]) -> tuple[str, ...]:
    parts = {part for aim in aims for part in aim.remaining}
    material = tool_of(line, with_assumed=False).material
    reversed_wheel = cautions.REVERSED if "sides" in parts else ()
    return cautions.gather(reversed_wheel, cautions.by_material(material), cautions.GENERAL)


@dataclass(frozen=True)
class Group:
    """Pieces that are ground to the same figures, as the page shows them."""

    aim: Aim
    pieces: list[Piece]
    figures: list[Figure]

    @property
    def against_wish(self) -> str:
        """Where the plan takes off what the customer wants to keep."""
        customer = self.aim.piece.batch.customer
        return say_against_wish(customer.keep, self.aim.end_nm, self.aim.infeed_nm, customer.unit)

    @property
    def work_words(self) -> str:
        """`sides and the end, and gash the end again`."""
        work = " and the ".join(self.aim.remaining or self.aim.parts)
        return f"{work}, and gash the end again" if self.aim.gash else work

    @property
    def reason(self) -> str:
        """Why it is ground so, as a sentence; what the customer was asked is no reason."""
        plan = self.aim.plan
        reason = plan.reason if plan and plan.decision == "grind" else ""
        return f"{reason}." if reason and reason[-1] not in ".?!" else reason

    @property
    def done_words(self) -> str:
        return f"{' and '.join(self.aim.done)} done"


def list_groups(aims: Sequence[Aim]) -> list[Group]:
    """Like pieces together, each group with its planned figures; the diameter alone is large where all share it."""
    groups = alike(aims)
    return [Group(aim, pieces, _figures(aim, large=len(groups) == 1)) for aim, pieces in groups]


def _figures(aim: Aim, *, large: bool) -> list[Figure]:
    """The planned figures of what is ground: an end that is ground alone has no diameter to grind to."""
    plan = aim.plan
    if plan is None:
        return []
    figures = [
        Figure("Grind to", plan.diameter_nm if is_radial(aim.parts) else None, first=large),
        Figure("Off the radius", aim.infeed_nm),
        Figure(f"Off the {name_end(aim.parts)}", aim.end_nm),
        Figure("Usable length", plan.usable_nm),
    ]
    return [figure for figure in figures if figure.nm] + _list_own_figures(aim, plan)


def _list_own_figures(aim: Aim, plan: Plan) -> list[Figure]:
    """Those of a kind with a plan of its own that takes nothing off sides or end: off the face, by which angle."""
    planner, option = kind_of(aim.piece.line.family).planner, option_of(plan)
    if planner is None or aim.infeed_nm or aim.end_nm or not option.get("grind"):
        return []
    return [Figure(label, text=text) for label, text in planner.figures(option, aim.piece.batch.customer.unit)]


def alike(aims: Sequence[Aim]) -> list[tuple[Aim, list[Piece]]]:
    """Pieces that are ground to the same figures, together: the first's aim and the pieces."""
    groups: dict[tuple[object, ...], tuple[Aim, list[Piece]]] = {}
    for item in aims:
        plan = item.plan
        key = (plan and plan.diameter_nm, item.infeed_nm, item.end_nm, item.parts, item.done, item.sets, item.assumed)
        groups.setdefault(key, (item, []))[1].append(item.piece)
    return list(groups.values())
