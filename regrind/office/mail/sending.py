"""Sending the outbox: each mail is marked before it is sent, and never sent twice by itself.

A mail that the server did not take is `failed`. One whose connection broke after the server had begun to read it is in
doubt, as one is whose sender was killed: a person decides. Only what never reached a server is tried again.
"""

import logging
import smtplib

from django.conf import settings
from django.core.mail import BadHeaderError, EmailMultiAlternatives, get_connection
from django.utils import timezone

from regrind.shop.events import Refusal, event
from regrind.shop.owner.settings import shop_settings

from ..issuing import read_file
from ..mail_models import SENDING_TAKES, Mail
from ..quotes.links import address_of
from ..quotes.making import make_link, revoke_links
from .words import LINK, html_of

log = logging.getLogger("regrind.mail")
MOST_TRIES = 5  # of a server that cannot be reached
NOT_TAKEN = (
    smtplib.SMTPRecipientsRefused,
    smtplib.SMTPSenderRefused,
    smtplib.SMTPDataError,
    smtplib.SMTPHeloError,
    smtplib.SMTPNotSupportedError,
)


def send_waiting() -> int:
    """Send each mail that waits, one after the other; what was cut off is marked as in doubt. Returns how many went."""
    _mark_cut_off()
    keys = list(Mail.objects.filter(state="waiting").order_by("pk").values_list("pk", flat=True))
    return sum(send_one(pk) for pk in keys)


def _mark_cut_off() -> None:
    cut_off = Mail.objects.filter(state="sending", changed_at__lt=timezone.now() - SENDING_TAKES)
    for mail in cut_off:
        _note(mail, "doubt", "the program was ended while it was sent")


def send_one(pk: int) -> bool:
    """Send one mail if it still waits: whether it went. The mark is committed before anything is sent."""
    begun = _begin(pk)
    if begun is None:
        return False
    mail, text = begun
    try:
        message = _message(mail, text)
        message.message()  # refuses what cannot stand in a header
    except (Refusal, BadHeaderError) as error:
        return _failed(mail, f"it cannot be written: {error}")
    connection = get_connection(timeout=settings.EMAIL_TIMEOUT)
    try:
        connection.open()
    except (OSError, smtplib.SMTPException) as error:
        return _not_reached(mail, error)
    try:
        connection.send_messages([message])
    except NOT_TAKEN as error:
        return _failed(mail, f"the mail server did not take it: {error}")
    except (OSError, smtplib.SMTPException) as error:
        return _note(mail, "doubt", f"the connection broke while it was sent: {error}")
    finally:
        _close(connection)
    return _note(mail, "sent", "")


def _close(connection: object) -> None:
    try:
        connection.close()  # type: ignore[attr-defined]  # of every backend
    except (OSError, smtplib.SMTPException):
        log.info("the mail server ended the connection first")


def _begin(pk: int) -> tuple[Mail, str] | None:
    """The mail, marked as being sent, with its text; None where another sender has it. A quote's link is made here."""
    with event(None, "mail", why="sending"):
        mail = Mail.objects.select_for_update(of=("self",)).select_related("quote__batch__customer", "paper").get(pk=pk)
        if mail.state != "waiting":
            return None
        text = mail.text
        if LINK in text and mail.quote is not None:
            try:
                text = text.replace(LINK, address_of(make_link(by=None, quote=mail.quote)))
            except Refusal as refusal:
                _write(mail, "failed", str(refusal))
                return None
        _write(mail, "sending", "")
    return mail, text


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


def _not_reached(mail: Mail, error: Exception) -> bool:
    """Nothing was sent: it waits for the next time, a few times."""
    tries = mail.tries + 1
    state = "failed" if tries >= MOST_TRIES else "waiting"
    _end_link(mail)
    return _note(mail, state, f"the mail server cannot be reached: {error}", tries)


def _failed(mail: Mail, why: str) -> bool:
    _end_link(mail)
    return _note(mail, "failed", why)


def _end_link(mail: Mail) -> None:
    """The link of a mail that did not go opens nothing."""
    if LINK in mail.text and mail.quote is not None:
        revoke_links(by=None, quote=mail.quote)


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
