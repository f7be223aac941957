"""The office's pages of mail: the mails of a box, the outbox, and the test of the mail server."""

from typing import Any

from django import forms
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.text import capfirst
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.record.find import batch_or_404
from regrind.record.models import Batch
from regrind.shop.events import Refusal
from regrind.shop.fields.forms import ShopForm
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..headings import batch_facts, batch_link
from ..issuing import Prepared, Stock, keep, prepare
from ..mail_models import KINDS, Mail
from ..quote_models import Quote
from .bounces import mark_bounced
from .queueing import close_mail, queue_mail, send_again
from .sending import send_one
from .words import LINK, LINK_STANDS_HERE, NO_ADDRESS, say_recipients, subject_of, text_of

PAPERS = {"quote": "quote", "reminder": "quote", "report": "report"}
MOST = 50  # rows of the outbox on its page


class MailForm(ShopForm):
    """What a mail is to say."""

    kind = forms.ChoiceField(
        label="Mail", choices=[kind for kind in KINDS if kind[0] != "test"], widget=forms.RadioSelect
    )


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def batch_mail(request: HttpRequest, number: str) -> HttpResponse:
    """The mails of a box with their states, and a new one."""
    batch = batch_or_404(number)
    form = MailForm(request.POST or None, initial={"kind": request.GET.get("kind", "")})
    quote = Quote.objects.filter(batch=batch).select_related("batch").order_by("number").last()
    paper = _prepare(form, batch, quote)

    def show() -> HttpResponse:
        context = {
            "heading": f"Mail about batch {batch.number}",
            "facts": [*batch_facts(batch), say_recipients(batch.customer)],
            **batch_link(batch),
            "form": form,
            "mails": Mail.objects.filter(batch=batch).select_related("queued_by", "batch__customer"),
            "host": settings.EMAIL_HOST,
            "lacks_address": say_recipients(batch.customer) == NO_ADDRESS,
            "customer_address": reverse("receiving:customer", args=[batch.customer_id]),
            "drafts": _drafts(batch, quote),
        }
        return render(request, "office/mail/batch.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        kind, by = form.cleaned_data["kind"], person_of(request)
        about = quote if PAPERS.get(kind) == "quote" else None
        issued = keep(by=by, prepared=paper) if paper else None
        queue_mail(by=by, kind=kind, batch=batch, quote=about, paper=issued)
        return reverse("office:batch_mail", args=[batch.number])

    return save(request, form, act=act, show=show)


def _drafts(batch: Batch, quote: Quote | None) -> list[dict[str, str]]:
    """What each mail of this box would say, by its name; those about a quote where there is one."""
    shop, linked = shop_settings(), bool(settings.PUBLIC_ADDRESS)
    return [
        {
            "words": capfirst(words),
            "subject": subject_of(kind, shop, batch, quote),
            "text": text_of(kind, shop, batch, quote, linked=linked).replace(LINK, LINK_STANDS_HERE),
        }
        for kind, words in KINDS
        if kind != "test" and (quote is not None or PAPERS.get(kind) != "quote")
    ]


def _prepare(form: MailForm, batch: Batch, quote: Quote | None) -> Prepared | None:
    """The paper that is attached, drawn before the transaction; a refusal becomes an error of the form."""
    kind = PAPERS.get(form.cleaned_data["kind"]) if form.is_bound and form.is_valid() else None
    if kind is None:
        return None
    if kind == "quote" and quote is None:
        form.refuse("This box has no quote yet. Make one first.")
        return None
    try:
        return prepare(kind, str(quote if kind == "quote" else batch.number), Stock())
    except Refusal as refusal:
        form.refuse(str(refusal))
        return None


@needs("front_desk")
@require_GET
def outbox(request: HttpRequest) -> HttpResponse:
    """The newest mails; those that somebody has to decide about come first."""
    mails = list(Mail.objects.select_related("queued_by", "batch__customer")[:MOST])
    context: dict[str, Any] = {
        "mails": sorted(mails, key=lambda mail: not mail.needs_somebody),
        "host": settings.EMAIL_HOST,
        "shop_mail": shop_settings().mail,
        "may_test": person_of(request).may("owner"),
    }
    return render(request, "office/mail/outbox.html", context)


@needs("owner")
@require_POST
def test_mail(request: HttpRequest) -> HttpResponse:
    """Send a test to the shop's own address at once; the outbox then shows what became of it."""
    queued: list[int] = []

    def act() -> str:
        queued.append(queue_mail(by=person_of(request), kind="test", batch=None).pk)
        return reverse("office:outbox")

    response = save(request, None, act=act, page=reverse("office:outbox"))
    for pk in queued if response.status_code == 302 else ():
        send_one(pk)
    return response


@needs("front_desk")
@require_POST
def decide_mail(request: HttpRequest, pk: int) -> HttpResponse:
    """What somebody decides about a mail that failed or may have gone."""
    mail = get_object_or_404(Mail, pk=pk)

    def act() -> str:
        _decide(person_of(request), mail, request.POST.get("do", ""))
        return reverse("office:outbox")

    return save(request, None, act=act, page=reverse("office:outbox"))


def _decide(by: Person, mail: Mail, choice: str) -> None:
    if choice == "again":
        send_again(by=by, mail=mail)
    elif choice == "bounced":
        mark_bounced(by=by, mail=mail, why=f"as {by} says")
    elif choice in ("arrived", "close"):
        close_mail(by=by, mail=mail, arrived=choice == "arrived")
    else:
        raise Refusal("Choose what to do with the mail: send it again, it arrived, it came back, or close it.")
