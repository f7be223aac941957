"""The counter: boxes, what is in them, and customers."""
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.record import actions as record
from regrind.record.find import batch_or_404, line_or_404
from regrind.record.models import Batch, Customer
from regrind.record.moves import reconcile
from regrind.shop.access import needs
from regrind.shop.letterhead import letterhead
from regrind.shop.once import carry_out, person_of

from . import actions, overview
from .forms import BatchForm, BatchHeadForm, CustomerForm, LineForm, SaidForm, initial_of, understood
from .line_forms import FORMS, all_forms

COUNTER = ("front_desk", "bench")


@needs(*COUNTER)
@require_GET
def batches(request: HttpRequest) -> HttpResponse:
    return render(request, "receiving/batches.html", overview.batches(
        request.GET.get("before", ""), request.GET.get("customer", "")))


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """A box on the counter: whose it is, and what is in it as one would say it."""
    form = BatchForm(request.POST or None, initial={"customer": request.GET.get("customer", "")[:12]})
    if request.method == "POST" and form.is_valid():
        data = dict(form.cleaned_data)
        said = data.pop("said")

        def act() -> str:
            batch = actions.open_batch(by=person_of(request), **data)
            request.session[f"said:{batch.number}"] = said
            return reverse("receiving:lines", args=[batch.number])
        return carry_out(request, act)
    return render(request, "receiving/new.html", {"form": form}, status=422 if form.is_bound else 200)


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def lines(request: HttpRequest, number: str) -> HttpResponse:
    """What was said of the box, echoed field by field, and kept once it is confirmed."""
    batch = batch_or_404(number)
    unit = batch.customer.unit
    if request.POST.get("do") == "keep":
        return _keep_lines(request, batch)
    said = request.POST.get("said", request.session.get(f"said:{batch.number}", ""))[:8000]
    forms = [LineForm(prefix=f"l{n}", unit=unit, initial=initial_of(line, unit))
             for n, line in enumerate(understood(said, unit))]
    unknown = [line for line in understood(said, unit) if line.unknown or line.nominal_nm is None]
    template = "receiving/_understood.html" if request.htmx else "receiving/lines.html"       # type: ignore[attr-defined]
    return render(request, template, {"batch": batch, "said_form": SaidForm(initial={"said": said}), "forms": forms,
                                      "unknown": unknown})


def _keep_lines(request: HttpRequest, batch: Batch) -> HttpResponse:
    count = request.POST.get("lines", "")
    many = int(count) if count.isascii() and count.isdigit() and len(count) < 3 else 0
    forms = [LineForm(request.POST, prefix=f"l{n}", unit=batch.customer.unit) for n in range(min(many, 40))]
    good = [form.is_valid() for form in forms]
    if not forms or not all(good):
        return render(request, "receiving/lines.html", {"batch": batch, "said_form": SaidForm(), "forms": forms},
                      status=422)

    def act() -> str:
        for form in forms:
            family = record.find_or_make_family(by=person_of(request), **form.family())
            actions.log_line(by=person_of(request), batch=batch, family=family, **form.line())
        request.session.pop(f"said:{batch.number}", None)
        return reverse("receiving:batch", args=[batch.number])
    return carry_out(request, act)


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def batch(request: HttpRequest, number: str) -> HttpResponse:
    """One box: its lines with their pieces, counts that reconcile, and its head to be mended."""
    found = batch_or_404(number)
    form = BatchHeadForm.of(found, request.POST or None)
    if request.method == "POST" and form.is_valid():
        def act() -> str:
            actions.change_batch(by=person_of(request), batch=found, **form.cleaned_data)
            return reverse("receiving:batch", args=[found.number])
        return carry_out(request, act)
    counts = reconcile(found)
    return render(request, "receiving/batch.html", {
        "batch": found, "form": form, "lines": overview.lines(found), "counts": counts,
        "strays": found.strays.select_related("by"), "stray_form": overview.StrayForm(),
        "differs": found.their_count is not None and found.their_count != counts["came"] - counts["missing"]},
        status=422 if form.is_bound else 200)


@needs(*COUNTER)
@require_POST
def stray(request: HttpRequest, number: str) -> HttpResponse:
    found = batch_or_404(number)
    form = overview.StrayForm(request.POST)
    if not form.is_valid():
        return render(request, "receiving/stray.html", {"batch": found, "form": form}, status=422)

    def act() -> str:
        actions.note_stray(by=person_of(request), batch=found, what=form.cleaned_data["what"])
        return reverse("receiving:batch", args=[found.number])
    return carry_out(request, act)


def _line_page(request: HttpRequest, number: str, posted: str = "", status: int = 200,
               forms: dict | None = None) -> HttpResponse:
    line = line_or_404(number)
    pieces = list(line.pieces.select_related("batch", "tool", "complaint_of__batch"))
    return render(request, "receiving/line.html", {
        "line": line, "pieces": pieces, "forms": forms or all_forms(line, pieces), "posted": posted,
        "changes": line.changes.select_related("by").order_by("-pk")}, status=status)


@needs(*COUNTER)
@require_GET
def line(request: HttpRequest, number: str) -> HttpResponse:
    return _line_page(request, number)


@needs(*COUNTER)
@require_POST
def line_do(request: HttpRequest, number: str, what: str) -> HttpResponse:
    """Carry out one of the line's small forms; a refusal comes back on the line's page, with what was typed."""
    found = line_or_404(number)
    if what not in FORMS:
        raise Http404(what)
    pieces = list(found.pieces.select_related("batch__customer", "line__family", "tool"))
    forms = all_forms(found, pieces, what, request.POST)
    form = forms[what]

    def page(refusal: str) -> HttpResponse:
        if refusal:
            form.add_error(None, refusal)
        return _line_page(request, number, what, 422, forms)

    if not form.is_valid():
        return page("")

    def act() -> str:
        form.act(person_of(request))        # type: ignore[attr-defined]
        return reverse("receiving:line", args=[str(found)])
    return carry_out(request, act, refused=page)


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def family(request: HttpRequest, number: str) -> HttpResponse:
    """Change what a line's tools are: the same fields as when they were logged."""
    found = line_or_404(number)
    unit = found.batch.customer.unit
    form = LineForm(request.POST or None, unit=unit, initial=overview.family_initial(found, unit))

    def page(refusal: str = "") -> HttpResponse:
        if refusal:
            form.add_error(None, refusal)
        return render(request, "receiving/family.html", {"line": found, "form": form},
                      status=422 if form.is_bound else 200)

    if request.method == "POST" and form.is_valid():
        def act() -> str:
            other = record.find_or_make_family(by=person_of(request), **form.family())
            actions.change_family(by=person_of(request), line=found, family=other, reason=form.cleaned_data["note"])
            return reverse("receiving:line", args=[str(found)])
        return carry_out(request, act, refused=page)
    return page()


@needs(*COUNTER)
@require_GET
def customers(request: HttpRequest) -> HttpResponse:
    return render(request, "receiving/customers.html", {"customers": overview.customers()})


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    return _customer(request, get_object_or_404(Customer, pk=pk))


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def new_customer(request: HttpRequest) -> HttpResponse:
    return _customer(request, None)


def _customer(request: HttpRequest, known: Customer | None) -> HttpResponse:
    initial = CustomerForm.initial_of(known) if known else {"active": True, "unit": letterhead().unit}
    unit = request.POST.get("unit") or initial["unit"]
    form = CustomerForm(request.POST or None, initial=initial, unit=unit if unit in ("in", "mm") else "in")

    def page(refusal: str = "") -> HttpResponse:
        if refusal:
            form.add_error("name", refusal)
        return render(request, "receiving/customer.html", {"customer": known, "form": form},
                      status=422 if form.is_bound else 200)

    if request.method == "POST" and form.is_valid():
        def act() -> str:
            kept = record.keep_customer(by=person_of(request), customer=known, **form.values())
            return reverse("receiving:customer", args=[kept.pk])
        return carry_out(request, act, refused=page)
    return page()


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def families(request: HttpRequest) -> HttpResponse:
    """Tool families, and two that are one."""
    form = overview.MergeFamiliesForm(request.POST or None)

    def page(refusal: str = "") -> HttpResponse:
        if refusal:
            form.add_error(None, refusal)
        return render(request, "receiving/families.html", {"form": form, "families": overview.families()},
                      status=422 if form.is_bound else 200)

    if request.method == "POST" and form.is_valid():
        def act() -> str:
            record.merge_families(by=person_of(request), **form.cleaned_data)
            return reverse("receiving:families")
        return carry_out(request, act, refused=page)
    return page()
