"""What waits to be ground, tray by tray, and one setup that a whole tray goes through."""
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.record.models import Piece
from regrind.record.moves import UNDO_FOR, undo
from regrind.shop.access import needs
from regrind.shop.acting import Conflict, Refusal
from regrind.shop.letterhead import letterhead
from regrind.shop.models import Person
from regrind.shop.once import person_of
from regrind.shop.saving import save

from ..grinding.actions import grind_setup
from ..grinding.wheel import find_speed
from ..models import Grind
from ..piece_form import moved_since, read_steps
from ..rows import newest
from .forms import TrayForm
from .order import EXACT_UP_TO
from .shown import list_rows, say_changes, weight_rows
from .waiting import KEY_SIGNS, Stage, find_waiting


@needs("bench")
@require_GET
def setups(request: HttpRequest) -> HttpResponse:
    """All that is to grind, grouped by what one setup can serve, in the order of the rule."""
    waiting, distance = find_waiting(), letterhead().stylus_distance_nm / 1e6
    stages = [(stage, say_changes(stage.changes), list_rows(stage.lots, distance)) for stage in waiting.stages]
    return render(request, "bench/setups.html", {
        "waiting": waiting, "stages": stages, "weights": weight_rows(), "exact": EXACT_UP_TO,
        "saved": waiting.came.changes - waiting.ruled.changes, "just": ground_just_now(person_of(request))})


def ground_just_now(by: Person) -> dict[str, object] | None:
    """The newest setup that this person recorded, while it can be taken back: its code and its pieces."""
    last = Grind.objects.filter(by=by, recorded_at__gte=timezone.now() - UNDO_FOR).order_by("-pk").first()
    if last is None:
        return None
    pieces = _pieces_of(last.setup)
    return {"code": last.setup, "pieces": pieces} if pieces else None


def _pieces_of(code: str) -> list[Piece]:
    """Those whose newest grind was in that setup, and that are ground since."""
    ids = Grind.objects.filter(setup=code, recorded_at__gte=timezone.now() - UNDO_FOR).values("piece")
    pieces = list(Piece.objects.filter(pk__in=ids, whereabouts="ground").select_related("batch"))
    last = newest(Grind, pieces)
    return [piece for piece in pieces if last[piece.pk].setup == code]


@needs("bench")
@require_POST
def take_back(request: HttpRequest) -> HttpResponse:
    """Take back a whole setup of the last ten minutes, as the page showed it: its pieces are to grind again, history
    keeps both."""
    def act() -> str:
        pieces, stood = _pieces_of(request.POST.get("code", "")[:24]), request.POST.get("stood", "")
        if not pieces:
            raise Refusal("Nothing of that setup can be taken back any more: its pieces have gone on, or ten minutes "
                          "have passed.")
        if read_steps(stood).keys() != {piece.pk for piece in pieces} or moved_since(pieces, stood):
            raise Conflict("While this page was open some of these pieces went on or were ground anew. The setup that "
                           "could be taken back now is not the one that the page showed.")
        undo(pieces=pieces, by=person_of(request))
        messages.success(request, f"Taken back: {len(pieces)} pieces are to grind again.")
        return reverse("bench:setups")
    return save(request, None, act=act, page=reverse("bench:setups"))


@needs("bench")
@require_http_methods(["GET", "POST"])
def setup(request: HttpRequest, key: str) -> HttpResponse:
    """One tray: what is set once, what changes between its lines, and the grind of all of it in one entry."""
    stage = find_waiting().find(key)
    if stage is None:
        return _gone(request, key)
    form = TrayForm(request.POST if request.method == "POST" else None, stage=stage, revisions=_revisions(stage))

    def show() -> HttpResponse:
        return _page(request, stage, form)

    def act() -> str:
        code = grind_setup(by=person_of(request), **form.values())
        messages.success(request, f"Kept the grind of {len(form.cleaned_data['pieces'])} pieces, setup {code}.")
        return reverse("bench:setups")

    return save(request, form, act=act, show=show)


def _revisions(stage: Stage) -> dict[int, int]:
    pieces = [piece for lot in stage.lots for piece in lot.pieces]
    return {pk: row.revision for pk, row in newest(Grind, pieces).items()}


def _gone(request: HttpRequest, key: str) -> HttpResponse:
    """The tray is not there any more: a second tap on a save, somebody else's save, or nothing."""
    if not key.isalnum() or len(key) != KEY_SIGNS:
        raise Http404(key)

    def show() -> HttpResponse:
        messages.info(request, "Nothing waits for that setup any more.")
        return redirect("bench:setups")

    def act() -> str:
        raise Conflict("While this page was open these pieces were ground, moved on or planned anew.")
    return save(request, None, act=act, show=show)


def _page(request: HttpRequest, stage: Stage, form: TrayForm) -> HttpResponse:
    shop, wheel = letterhead(), stage.lots[0].given.wheel
    rows = list_rows(stage.lots, shop.stylus_distance_nm / 1e6)
    return render(request, "bench/setup.html", {
        "stage": stage, "form": form, "rows": rows, "first": rows[0], "changes": say_changes(stage.changes),
        "wheel": wheel, "holding": stage.lots[0].given.holding, "speed": find_speed(wheel, "wet"), "unit": shop.unit,
        "distance_nm": shop.stylus_distance_nm,
        "open_more": bool({"roughing", "finishing", "note", "done_at"} & set(form.errors))},
        status=422 if form.is_bound else 200)
