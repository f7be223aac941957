"""Putting mails into the outbox, and what somebody decides about one that did not get through."""

from email.utils import make_msgid

from django.conf import settings
from django.utils import timezone

from regrind.record.contacts import recipients
from regrind.record.models import Batch
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings

from ..mail_models import Mail
from ..models import IssuedPaper
from ..quote_models import Quote
from .words import USES, subject_of, text_of


def queue_mail(
    *, by: Person, kind: str, batch: Batch | None, quote: Quote | None = None, paper: IssuedPaper | None = None
) -> Mail:
    """A mail in the outbox; the command `mail` sends it. A test goes to the shop itself.

    Refusal where no mail server is set, or there is no address to send to.
    """
    if not settings.EMAIL_HOST:
        raise Refusal("No mail server is set. Write smtp_host into settings.toml, and start the program again.")
    return write_mail(by=by, kind=kind, batch=batch, quote=quote, paper=paper)


def write_mail(
    *,
    by: Person | None,
    kind: str,
    batch: Batch | None,
    quote: Quote | None = None,
    paper: IssuedPaper | None = None,
) -> Mail:
    """The row of a new mail, whether a server is set or not. by: None where the program asks for it by itself."""
    shop = shop_settings()
    to = ", ".join(one.mail for one in recipients(batch.customer, USES[kind])) if batch else shop.mail
    if not to:
        whose = f"{batch.customer} has" if batch else "The shop has"
        raise Refusal(f"{whose} no mail address. Write it on its page first.")
    with event(by, "mail", why=f"{kind}: {to}"):
        return Mail.objects.create(
            kind=kind,
            batch=batch,
            quote=quote,
            paper=paper,
            to=to,
            subject=subject_of(kind, shop, batch, quote),
            text=text_of(kind, shop, batch, quote, linked=bool(settings.PUBLIC_ADDRESS)),
            message_id=make_msgid(domain=sender_domain(shop.mail)),
            queued_by=by,
        )


def sender_domain(shop_mail: str) -> str:
    return (settings.MAIL_FROM or shop_mail).rpartition("@")[2] or "localhost"


def send_again(*, by: Person, mail: Mail) -> Mail:
    """The same mail once more, as a new one; the old one is closed. Refusal where it needs nobody."""
    with event(by, "mail", why=f"again: {mail.to}"):
        close_mail(by=by, mail=mail, arrived=False)
        return queue_mail(by=by, kind=mail.kind, batch=mail.batch, quote=mail.quote, paper=mail.paper)


def close_mail(*, by: Person, mail: Mail, arrived: bool) -> None:
    """Write down what became of a mail that failed or may have gone: it arrived, or nothing more is done about it.

    Refusal where it waits or was sent; Conflict where somebody else closed it meanwhile.
    """
    with event(by, "mail", why=f"closed: {mail.to}"):
        current = Mail.objects.select_for_update().get(pk=mail.pk)
        if not current.needs_somebody:
            raise Conflict(f"This mail has changed: {current.words}.")
        fault = "" if arrived else f"{current.fault or 'may have gone'}; closed by {by}"[:300]
        state = "sent" if arrived else "closed"
        Mail.objects.filter(pk=mail.pk).update(state=state, fault=fault, changed_at=timezone.now())
