"""The mail server: Django's connection to it, which also says what of a mail was refused, and in plain words why."""

import smtplib
from collections.abc import Mapping

from django.core.mail import EmailMessage
from django.core.mail.backends.smtp import EmailBackend
from django.core.mail.message import sanitize_address

Refused = Mapping[str, tuple[int, bytes]]

# What the server says when it does not take a mail: nothing of it was delivered.
NOT_TAKEN = (
    smtplib.SMTPRecipientsRefused,
    smtplib.SMTPSenderRefused,
    smtplib.SMTPDataError,
    smtplib.SMTPHeloError,
    smtplib.SMTPNotSupportedError,
)


class Connection(EmailBackend):
    """One connection to the server that is set."""

    def deliver(self, message: EmailMessage) -> Refused:
        """Hand over one mail: the addresses that were refused while others were taken, each with code and words.

        Raises one of NOT_TAKEN where the server took nothing; any other SMTPException or OSError leaves it in doubt.
        """
        sender, *recipients = (sanitize_address(one, "utf-8") for one in (message.from_email, *message.recipients()))
        assert self.connection is not None  # it was opened
        written = message.message().as_bytes(linesep="\r\n")  # type: ignore[call-arg]  # Django's own has it
        refused: Refused = self.connection.sendmail(sender, recipients, written)
        return refused


def is_passing(error: smtplib.SMTPException) -> bool:
    """Whether the server asks to try again later: every reply is of the kind 4yz (RFC 5321, section 4.2.1)."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(400 <= code < 500 for code, _ in error.recipients.values())
    return isinstance(error, smtplib.SMTPResponseException) and 400 <= error.smtp_code < 500


def say_refused(error: smtplib.SMTPException) -> str:
    """`the mail server refused ann@customer.example: 550 no such mailbox`."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return f"the mail server refused {say_addresses(error.recipients)}"
    if isinstance(error, smtplib.SMTPSenderRefused):
        reply = _reply(error.smtp_code, error.smtp_error)
        return f"the mail server refused the shop’s own address {error.sender}: {reply}"
    if isinstance(error, smtplib.SMTPResponseException):
        return f"the mail server did not take it: {_reply(error.smtp_code, error.smtp_error)}"
    return f"the mail server did not take it: {error}"


def say_addresses(refused: Refused) -> str:
    return "; ".join(f"{address}: {_reply(*reply)}" for address, reply in refused.items())


def _reply(code: int, words: bytes | str) -> str:
    text = words.decode(errors="replace") if isinstance(words, bytes) else words
    return f"{code} {' '.join(text.split())}"
