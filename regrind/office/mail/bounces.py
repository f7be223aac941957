"""Mails that came back: as somebody says, or as a mail server's delivery report says (RFC 3464)."""

from dataclasses import dataclass
from email import message_from_bytes, message_from_string
from email.message import Message

from django.utils import timezone

from regrind.shop.events import Conflict, event
from regrind.shop.models import Person

from ..mail_models import Mail

MOST_BYTES = 2_000_000  # of a report: more than a mail with its papers


@dataclass(frozen=True)
class Report:
    """What a delivery report says: of which mail, and of each address that it could not reach, why."""

    message_id: str
    reasons: list[str]


def mark_bounced(*, by: Person | None, mail: Mail, why: str) -> None:
    """Write down that a mail came back. Conflict where it was not sent, or somebody decided about it meanwhile."""
    with event(by, "mail", why=f"came back: {mail.to}"):
        current = Mail.objects.select_for_update().get(pk=mail.pk)
        if current.state != "sent" and not current.in_doubt:
            raise Conflict(f"This mail has changed: {current.words}.")
        Mail.objects.filter(pk=mail.pk).update(state="bounced", fault=why[:300], changed_at=timezone.now())


def note_report(content: bytes) -> Mail | None:
    """Mark the mail that a delivery report is about as come back; None where it is no report of a failure, or not of
    one of ours. The mail is known by its Message-ID."""
    report = read_report(content)
    if report is None or not report.reasons:
        return None
    mail = Mail.objects.filter(message_id=report.message_id).first()
    if mail is None or mail.state == "bounced":
        return None
    mark_bounced(by=None, mail=mail, why="; ".join(report.reasons))
    return Mail.objects.get(pk=mail.pk)


def read_report(content: bytes) -> Report | None:
    """A report of RFC 3464: its fields for each address, and the Message-ID of the mail that it returns; None where it
    lacks one of both. An address that was only delayed, or reached, gives no reason."""
    blocks: list[Message] = []
    returned = ""
    for part in message_from_bytes(content[:MOST_BYTES]).walk():
        kind, payload = part.get_content_type(), part.get_payload()
        if kind == "message/delivery-status" and isinstance(payload, list):
            blocks += [block for block in payload if isinstance(block, Message)]
        elif kind == "message/rfc822" and isinstance(payload, list) and payload and not returned:
            returned = _field(payload[0], "Message-ID")
        elif kind == "text/rfc822-headers" and isinstance(payload, str) and not returned:
            returned = _field(message_from_string(payload), "Message-ID")
    failed = [block for block in blocks if _field(block, "Action").lower() == "failed"]
    return Report(returned, [_say(block) for block in failed]) if blocks and returned else None


def _field(message: object, name: str) -> str:
    """A header on one line; '' where it is missing."""
    return " ".join(str(message.get(name, "")).split()) if isinstance(message, Message) else ""


def _say(block: Message) -> str:
    """`ann@customer.example: 550 5.1.1 no such mailbox`: without the kinds of address and of code before each."""
    address = _field(block, "Final-Recipient") or _field(block, "Original-Recipient")
    why = _field(block, "Diagnostic-Code") or _field(block, "Status")
    return f"{address.rpartition(';')[2].strip()}: {why.partition(';')[2].strip() or why}"
