"""Sending the outbox: each mail is marked before it is sent, and never sent twice by itself.

A mail that the server did not take is `failed`. One whose connection broke after the server had begun to read it is in
doubt, as one is whose sender was killed: a person decides. Only what never reached a server, or what the server asks
for again later, is tried again.
"""

import logging
import smtplib
from datetime import timedelta

from django.conf import settings
from django.core.mail import BadHeaderError, EmailMultiAlternatives
from django.utils import timezone

from regrind.shop.events import Refusal, event
from regrind.shop.owner.settings import shop_settings

from ..issuing import read_file
from ..mail_models import SENDING_TAKES, Mail
from ..quote_models import QuoteLink
from ..quotes.links import address_of, find_link
from ..quotes.making import end_link, make_link
from .smtp import NOT_TAKEN, Connection, is_passing, say_addresses, say_refused
from .words import LINK, html_of

log = logging.getLogger("regrind.mail")
WAITS_MIN = (0, 1, 4, 15, 60)  # before each try; the last that fails is the end
MOST_TRIES = len(WAITS_MIN)


def send_waiting() -> int:
    """Send each mail whose time has come, one after the other; what was cut off is marked as in doubt. Returns how many
    went; none where no mail server is set."""
    if not settings.EMAIL_HOST:
        return 0
    _mark_cut_off()
    waiting = Mail.objects.filter(state="waiting").order_by("pk").values_list("pk", "tries", "changed_at")
    now = timezone.now()
    return sum(send_one(pk) for pk, tries, last in waiting if last + timedelta(minutes=WAITS_MIN[tries]) <= now)


def _mark_cut_off() -> None:
    cut_off = Mail.objects.filter(state="sending", changed_at__lt=timezone.now() - SENDING_TAKES)
    for mail in cut_off:
        _note(mail, "doubt", "the program was ended while it was sent")


def send_one(pk: int) -> bool:
    """Send one mail if it still waits: whether it went. The mark is committed before anything is sent."""
    begun = _begin(pk)
    if begun is None:
        return False
    mail, text, link = begun
    try:
        message = _message(mail, text)
        message.message()  # refuses what cannot stand in a header
    except (Refusal, BadHeaderError) as error:
        return _failed(mail, link, f"it cannot be written: {error}")
    connection = Connection(timeout=settings.EMAIL_TIMEOUT)
    try:
        connection.open()
    except (OSError, smtplib.SMTPException) as error:
        return _try_later(mail, link, f"the mail server cannot be reached: {error}")
    return _deliver(mail, link, connection, message)


def _deliver(mail: Mail, link: QuoteLink | None, connection: Connection, message: EmailMultiAlternatives) -> bool:
    """Hand it to the server that answered; whether it went to everybody."""
    try:
        refused = connection.deliver(message)
    except NOT_TAKEN as error:
        return (_try_later if is_passing(error) else _failed)(mail, link, say_refused(error))
    except (OSError, smtplib.SMTPException) as error:
        return _note(mail, "doubt", f"the connection broke while it was sent: {error}")
    finally:
        _close(connection)
    if refused:
        return _note(mail, "failed", f"refused for {say_addresses(refused)}; the others have it")
    return _note(mail, "sent", "")


def _close(connection: Connection) -> None:
    try:
        connection.close()
    except (OSError, smtplib.SMTPException):
        log.info("the mail server ended the connection first")


def _begin(pk: int) -> tuple[Mail, str, QuoteLink | None] | None:
    """The mail, marked as being sent, with its text and the quote's link that is made for it, where it has one; None
    where another sender has it. A reminder's link stands beside the first mail's, which the customer may open too."""
    with event(None, "mail", why="sending"):
        mail = Mail.objects.select_for_update(of=("self",)).select_related("quote__batch__customer", "paper").get(pk=pk)
        if mail.state != "waiting":
            return None
        text, link = mail.text, None
        if LINK in text and mail.quote is not None:
            try:
                token = make_link(by=None, quote=mail.quote, beside=mail.kind == "reminder")
            except Refusal as refusal:
                _write(mail, "failed", str(refusal))
                return None
            text, link = text.replace(LINK, address_of(token)), find_link(token)
        _write(mail, "sending", "")
    return mail, text, link


def _message(mail: Mail, text: str) -> EmailMultiAlternatives:
    shop = shop_settings()
    sender = settings.MAIL_FROM or shop.mail
    message = EmailMultiAlternatives(
        mail.subject,
        text,
        f'"{shop.name.replace(chr(34), "")}" <{sender}>',
        mail.to.split(", "),
        reply_to=[shop.mail] if shop.mail else None,
        headers={"Message-ID": mail.message_id, "Auto-Submitted": "auto-generated"},
    )
    message.attach_alternative(html_of(text), "text/html")
    if mail.paper is not None:
        name = f"{mail.paper.kind}-{mail.paper.number}.pdf".replace("/", "_")
        message.attach(name, read_file(mail.paper), "application/pdf")
    return message


def _try_later(mail: Mail, link: QuoteLink | None, why: str) -> bool:
    """Nothing was delivered: it waits for its next time, a few times."""
    tries = mail.tries + 1
    _end(link)
    return _note(mail, "failed" if tries >= MOST_TRIES else "waiting", why, tries)


def _failed(mail: Mail, link: QuoteLink | None, why: str) -> bool:
    _end(link)
    return _note(mail, "failed", why)


def _end(link: QuoteLink | None) -> None:
    """The link of a mail that did not go opens nothing."""
    if link is not None:
        end_link(link)


def _note(mail: Mail, state: str, fault: str, tries: int | None = None) -> bool:
    """Write down how far it got; whether it was sent."""
    with event(None, "mail", why=state):
        _write(mail, state, fault, tries)
    if fault:
        log.warning("mail %s: %s, %s", mail.pk, state, fault)
    return state == "sent"


def _write(mail: Mail, state: str, fault: str, tries: int | None = None) -> None:
    more = {} if tries is None else {"tries": tries}
    Mail.objects.filter(pk=mail.pk).update(state=state, fault=fault[:300], changed_at=timezone.now(), **more)
