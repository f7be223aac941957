"""The pages of bills: what is to be billed, a bill, its credit notes and payments, a customer's statement."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.models import Customer
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..bill_models import Bill, BillLine, BillPayment
from ..papers.bill import bill_or_404, tax_words
from . import lists, making
from .forms import BillForm, CreditForm, PaidForm
from .terms import say_lacking
from .unbilled import customers_to_bill, unbilled_parcels


@needs("front_desk")
@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """What is to be billed, by customer, and the bills."""
    rows, older = lists.page_of_bills(read_whole(request.GET.get("before")))
    context = {"to_bill": customers_to_bill(), "bills": rows, "older": older}
    return render(request, "office/bills/page.html", context)


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def new(request: HttpRequest, pk: int) -> HttpResponse:
    """The parcels of a customer that are on no bill, to be gathered into one."""
    customer = get_object_or_404(Customer, pk=pk)
    form = BillForm(request.POST or None, rows=unbilled_parcels(customer))

    def show() -> HttpResponse:
        context = {"form": form, "heading": f"Bill {customer}", "lacks": say_lacking(customer)}
        return render(request, "office/bills/new.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        made = making.make_bill(
            by=person_of(request),
            customer=customer,
            parcels=form.chosen(),
            day=form.cleaned_data["day"],
            note=form.cleaned_data["note"],
        )
        return reverse("office:bill", args=[made])

    return save(request, form, act=act, show=show)


@needs("front_desk")
@require_GET
def bill(request: HttpRequest, number: str) -> HttpResponse:
    """A bill or credit note, with what was credited and paid of it."""
    row = bill_or_404(number)
    context = {
        "bill": row,
        "heading": f"{row.get_series_display().capitalize()} {row}",
        "kind": "credit" if row.credits_bill else "bill",
        "lines": BillLine.objects.filter(bill=row).select_related("batch").order_by("position"),
        "tax_words": tax_words(row),
        "credit_notes": Bill.objects.filter(credits_bill=row).order_by("pk"),
        "payments": BillPayment.objects.filter(bill=row).select_related("event__by").order_by("pk"),
        "open_minor": 0 if row.credits_bill else making.open_minor(row),
        "may_credit": not row.credits_bill and making.rest_of(row).net > 0,
    }
    return render(request, "office/bills/bill.html", context)


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def credit(request: HttpRequest, number: str) -> HttpResponse:
    """Take back some or all of a bill."""
    row = bill_or_404(number, making.BILL)
    lines = list(BillLine.objects.filter(bill=row).order_by("position"))
    form = CreditForm(request.POST or None, lines=lines, rest=making.rest_of_lines(row))

    def show() -> HttpResponse:
        context = {"form": form, "bill": row, "heading": f"Credit bill {row}"}
        return render(request, "office/bills/credit.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        data = form.cleaned_data
        note = making.credit(by=person_of(request), bill=row, amounts=form.amounts(), why=data["why"], day=data["day"])
        return reverse("office:bill", args=[note])

    return save(request, form, act=act, show=show)


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def paid(request: HttpRequest, number: str) -> HttpResponse:
    """Note money that came for a bill."""
    row = bill_or_404(number, making.BILL)
    form = PaidForm(request.POST or None, bill=row, rest=max(0, making.open_minor(row)))

    def show() -> HttpResponse:
        context = {"form": form, "bill": row, "heading": f"Payment for bill {row}"}
        return render(request, "office/bills/paid.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        data = form.cleaned_data
        making.mark_paid(by=person_of(request), bill=row, minor=data["amount"], day=data["day"], how=data["how"])
        return reverse("office:bill", args=[row])

    return save(request, form, act=act, show=show)


@needs("front_desk")
@require_GET
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    """Bills, credit notes and payments of a customer, and what is owed after each."""
    customer = get_object_or_404(Customer, pk=pk)
    context = {"customer": customer, "heading": f"Statement of {customer}", "rows": lists.statement(customer)}
    return render(request, "office/bills/statement.html", context)


@needs("owner")
@require_GET
def months(request: HttpRequest) -> HttpResponse:
    """Turnover and bench minutes by month."""
    return render(request, "office/bills/months.html", {"months": lists.months()})
