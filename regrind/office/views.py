"""The office pages: open batches, a batch, the customer's answer, prices, parcels."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.dateformat import format as date_format
from django.utils.timezone import localdate, localtime
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.complaints import complaints_about
from regrind.record.find import batch_or_404, line_or_404
from regrind.record.models import Batch
from regrind.record.moves import reconcile
from regrind.shop.fields.weights import NAMES as WEIGHTS
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import actions, overview
from .charges import Bill, bill, fixed_terms
from .fixing import say_fixed
from .forms import AddressStockForm, AnswerForm, ParcelForm, chosen
from .headings import batch_dates, batch_facts, batch_link, line_facts
from .issuing import ADDRESS, usual_stock
from .papers.slip import packing_slip
from .questions import asked, ways_to_grind
from .worth import choices_of


@needs("front_desk")
@require_GET
def page(request: HttpRequest) -> HttpResponse:
    return render(request, "office/page.html", overview.waiting_and_ready())


@needs("front_desk")
@require_GET
def batch(request: HttpRequest, number: str) -> HttpResponse:
    """One batch for the office: counts, prices, parcels, papers."""
    batch = batch_or_404(number)
    lines = overview.lines_with_counts(batch)
    charged, sent, fixed = bill(batch), overview.parcels(batch), fixed_terms(batch)
    context = {
        "batch": batch,
        "heading": f"Batch {batch.number}",
        "facts": [*batch_facts(batch), *batch_dates(batch)],
        "lines": lines,
        "packable": any(line.released for line in lines),  # type: ignore[attr-defined]  # an annotation of the query
        "counts": _counts(batch),
        "bill": charged,
        "unpriced": _unpriced(charged),
        "fixed": say_fixed(fixed) if fixed else "",
        "parcels": sent,
        "complaints": complaints_about(list(batch.pieces.all())),
        "may_end": True,
        "buttons": overview.batch_buttons(batch, sent),
        "issued": overview.issued(batch),
    }
    return render(request, "office/batch.html", context)


def _counts(batch: Batch) -> list[tuple[str, int]]:
    """Where the pieces of a batch are: the first count is the sum of the others."""
    counts = reconcile(batch)
    return [
        ("Logged", counts["received"]),
        ("Returned, ground", counts["left_ground"]),
        ("Returned unground", counts["left_returned_unground"]),
        ("Returned, scrap", counts["left_scrap"]),
        ("Recycled here", counts["recycled"]),
        ("At the coater", counts["at_coater"]),
        ("On hand", counts["on_hand"]),
        ("Missing", counts["missing"]),
    ]


def _unpriced(charged: Bill) -> str:
    numbers = ", ".join(str(line.number) for line in charged.open_lines)
    return f"no price yet on line {numbers}" if numbers else ""


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def answer(request: HttpRequest, number: str) -> HttpResponse:
    """The customer's answer for the waiting pieces of a line."""
    line = line_or_404(number)
    pieces = list(
        line.pieces.filter(status="waiting").select_related("batch__customer", "line__family", "line__batch__customer")
    )
    questions = asked(pieces)
    form = AnswerForm(request.POST or None, line=line, pieces=pieces, ways=ways_to_grind(questions))

    def show() -> HttpResponse:
        choices = choices_of(line, [question.plan for question in questions]) if questions else {}
        context = {
            "line": line,
            "heading": f"Answer for line {line}",
            "facts": line_facts(line),
            **batch_link(line.batch),
            "form": form,
            "pieces": pieces,
            "asked": [(question, choices[question.plan.pk]) for question in questions],
            "answers": line.answers.select_related("event__by").prefetch_related("pieces__piece__batch"),
        }
        return render(request, "office/answer.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        data, (decision, option) = form.cleaned_data, form.decided()
        actions.record_answer(
            by=person_of(request),
            line=line,
            pieces=chosen(pieces, data["pieces"]),
            who=data["who"],
            how=data["how"],
            agreed=data["agreed"],
            decision=decision,
            option=option,
            answered_at=data["answered_at"],
        )
        return reverse("office:batch", args=[line.batch.number])

    return save(request, form, act=act, show=show)


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def parcel(request: HttpRequest, number: str) -> HttpResponse:
    """Pack released pieces into a parcel, all or some of them; the pieces that stay here are listed."""
    batch = batch_or_404(number)
    released = list(batch.pieces.filter(status="released").select_related("batch", "line__family"))
    recycle_scrap = batch.customer.scrap == "recycle"
    form = ParcelForm(request.POST or None, batch=batch, released=released, recycle_scrap=recycle_scrap)

    def show() -> HttpResponse:
        context = {
            "batch": batch,
            "heading": f"Pack a parcel of batch {batch.number}",
            "facts": [*batch_facts(batch), f"scrap is {batch.customer.get_scrap_display()}"],
            "weight_unit": WEIGHTS[shop_settings().unit],
            **batch_link(batch),
            "form": form,
            "by_line": overview.by_line(released, form),
            "behind": overview.left_behind(batch),
        }
        return render(request, "office/parcel.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        data = form.cleaned_data
        actions.send_parcel(
            by=person_of(request),
            batch=batch,
            pieces=chosen(released, data["send"]),
            recycled=chosen(released, data["recycle"]),
            note=data["note"],
            carrier=data["carrier"],
            tracking=data["tracking"],
            weight_g=data["weight"],
            address=form.sent_to(),
            sent_at=data["sent_at"],
        )
        return reverse("office:batch", args=[batch.number])

    return save(request, form, act=act, show=show)


@needs("front_desk")
@require_GET
def sent_parcel(request: HttpRequest, number: str, parcel: int) -> HttpResponse:
    """A parcel that left: where it went, what is in it, what stays, and its papers."""
    batch = batch_or_404(number)
    sent = next((row for row in overview.parcels(batch) if row.parcel.number == parcel), None)
    if sent is None:
        raise Http404(parcel)
    slip = None if sent.undone else packing_slip(sent.parcel, 1, localdate())
    context = {
        "batch": batch,
        "heading": f"Parcel {sent.parcel}",
        "facts": [*batch_facts(batch), f"sent {date_format(localtime(sent.parcel.done_at), 'j M Y H:i')}"],
        **batch_link(batch),
        "sent": sent,
        "slip": slip,
        "address": sent.parcel.address.splitlines(),
        "form": AddressStockForm(initial={"stock": usual_stock((ADDRESS,))}),
    }
    return render(request, "office/sent_parcel.html", context)
