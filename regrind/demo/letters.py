"""The demo's conversation with its customers: quotes with photos, what was answered, and the mails about it.

The demo has no mail server: what became of a mail is part of the story, and is written down as it would have been.
"""

from datetime import timedelta
from typing import Any

from regrind.office.actions import record_answer
from regrind.office.mail.queueing import write_mail
from regrind.office.mail_models import Mail
from regrind.office.quotes.content import draft_quote
from regrind.office.quotes.making import make_quote
from regrind.record.contacts import recipients
from regrind.record.models import Batch
from regrind.shop.models import Person

from .clock import Clock


def ask(batch: Batch, entry: dict[str, Any], by: Person, clock: Clock) -> None:
    """Quote what waits of a box, mail the quote, and write down what was answered by telephone, a line each."""
    clock.set(clock.time + timedelta(hours=1))
    photos = {photo.pk for photo in draft_quote(batch).photos}
    quote = make_quote(by=by, batch=batch, note=entry.get("note", ""), photos=photos)
    mail(batch, {"kind": "quote"}, by, clock, quote=quote)
    for line_number, decision, agreed in entry.get("answers", ()):
        line = batch.lines.select_related("batch__customer", "family").get(number=line_number)
        clock.set(clock.time + timedelta(minutes=40))
        record_answer(
            by=by,
            line=line,
            pieces=list(line.pieces.filter(status="waiting").select_related("batch", "line__family")),
            who=recipients(batch.customer, "quotes")[0].name,
            how="phone",
            agreed=agreed,
            decision=decision,
        )


def mail(batch: Batch, entry: dict[str, Any], by: Person, clock: Clock, **about: Any) -> None:
    """A mail about a box, sent, or come back with the fault that the entry names."""
    written = write_mail(by=by, kind=entry["kind"], batch=batch, **about)
    fault = entry.get("fault", "")
    state = "bounced" if fault else "sent"
    Mail.objects.filter(pk=written.pk).update(state=state, fault=fault, changed_at=clock.time + timedelta(minutes=1))
