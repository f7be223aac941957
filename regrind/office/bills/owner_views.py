"""The owner's page of tax and payment, of the shop and of a customer."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.record.models import Customer
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .forms import TermsForm
from .terms import keep_terms, newest_terms


@needs("owner")
@require_http_methods(["GET", "POST"])
def shop_terms(request: HttpRequest) -> HttpResponse:
    return _answer(request, None)


@needs("owner")
@require_http_methods(["GET", "POST"])
def customer_terms(request: HttpRequest, pk: int) -> HttpResponse:
    return _answer(request, get_object_or_404(Customer, pk=pk))


def _answer(request: HttpRequest, customer: Customer | None) -> HttpResponse:
    """Tax and payment of a customer, of the shop where it is None; bills made before keep theirs."""
    form = TermsForm(request.POST or None, current=newest_terms(customer), for_customer=customer is not None)

    def show() -> HttpResponse:
        context = {
            "form": form,
            "customer": customer,
            "heading": f"Tax and payment of {customer}" if customer else "Tax and payment",
            "customers": None if customer else Customer.objects.filter(active=True).order_by("name"),
        }
        return render(request, "office/bills/terms.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        keep_terms(by=person_of(request), customer=customer, **form.cleaned_data)
        return reverse("office:bills")

    return save(request, form, act=act, show=show)
