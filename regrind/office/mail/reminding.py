"""Reminders: one for a quote whose mail went days ago and that still waits for an answer."""

from datetime import timedelta

from django.conf import settings
from django.utils import timezone

from regrind.record.models import Batch
from regrind.shop.events import Refusal, event
from regrind.shop.owner.settings import shop_settings

from ..mail_models import Mail
from ..quotes.states import live_link, state_of
from .queueing import write_mail
from .words import LINK


def queue_reminders() -> int:
    """Put the reminders that are due into the outbox, by the shop's setting; returns how many.

    A quote gets one, whoever asked for it. None goes out where its mail failed or came back, where the quote is
    answered, void, replaced or past its day, or where its link was revoked.
    """
    days = shop_settings().remind_days
    if days is None or not settings.EMAIL_HOST:
        return 0
    reminded = Mail.objects.filter(kind="reminder").values("quote")
    went = Mail.objects.filter(kind="quote", state="sent", changed_at__lte=timezone.now() - timedelta(days=days))
    newest = {mail.quote_id: mail for mail in went.exclude(quote__in=reminded).order_by("pk")}
    return sum(_remind(mail.pk) for mail in newest.values())


def _remind(pk: int) -> bool:
    """Queue the reminder of a sent mail's quote; not where another run was first, or nobody can be written to."""
    mail = Mail.objects.select_related("quote__batch__customer", "paper").get(pk=pk)
    quote = mail.quote
    assert quote is not None  # of this kind every mail has one
    try:
        with event(None, "mail", why=f"reminder of quote {quote}"):
            Batch.objects.select_for_update(no_key=True).get(pk=quote.batch_id)
            again = Mail.objects.filter(kind="reminder", quote=quote).exists()
            revoked = LINK in mail.text and live_link(quote) is None
            if again or revoked or not state_of(quote).open:
                return False
            write_mail(by=None, kind="reminder", batch=quote.batch, quote=quote, paper=mail.paper)
    except Refusal:
        return False
    return True
