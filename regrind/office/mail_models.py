"""The outbox: every mail to a customer, with how far it got."""

from datetime import timedelta

from django.db import models
from django.utils import timezone

from regrind.record.models import Batch
from regrind.shop.history.triggers import guard
from regrind.shop.models import Person

STATES = [
    ("waiting", "waiting to be sent"),
    ("sending", "being sent"),
    ("sent", "sent"),
    ("failed", "not sent"),
    ("doubt", "may have gone"),
    ("bounced", "came back"),
    ("closed", "closed"),
]
KINDS = [
    ("received", "box received"),
    ("quote", "quote"),
    ("reminder", "reminder of a quote"),
    ("ready", "ready to return"),
    ("report", "returned, with the report"),
    ("test", "test"),
]
SENDING_TAKES = timedelta(minutes=5)  # longer, and what sent it was ended in the middle


class Mail(models.Model):
    """One mail. It holds no link: that of a quote is made while it is sent. message_id never changes, so that a mail
    that goes out after all is known by it. paper: the issued paper that is attached."""

    kind = models.CharField(max_length=10, choices=KINDS)
    batch = models.ForeignKey(Batch, null=True, on_delete=models.PROTECT, related_name="+")
    quote = models.ForeignKey("office.Quote", null=True, on_delete=models.PROTECT, related_name="+")
    paper = models.ForeignKey("office.IssuedPaper", null=True, on_delete=models.PROTECT, related_name="+")
    to = models.CharField(max_length=2000)  # one address, or several parted by a comma and a space
    subject = models.CharField(max_length=200)
    text = models.TextField(max_length=4000)
    message_id = models.CharField(max_length=200, unique=True)
    state = models.CharField(max_length=8, choices=STATES, default="waiting")
    fault = models.CharField("why it was not sent", max_length=300, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    queued_at = models.DateTimeField(default=timezone.now)
    queued_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")  # none: by itself
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["state"])]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} to {self.to}"

    @property
    def in_doubt(self) -> bool:
        """Whether nobody knows if it went: what was sending it failed in the middle, or was ended."""
        cut_off = self.state == "sending" and self.changed_at < timezone.now() - SENDING_TAKES
        return self.state == "doubt" or cut_off

    @property
    def words(self) -> str:
        """Its state, with the reason."""
        state = "may have gone" if self.in_doubt else self.get_state_display()
        return f"{state}: {self.fault}" if self.fault else state

    @property
    def text_shown(self) -> str:
        """Its text as a page shows it: the link of a quote is in no row."""
        return self.text.replace("{link}", "(the link, made while the mail is sent)")

    @property
    def may_come_back(self) -> bool:
        """Whether somebody can say that it came back."""
        return self.state == "sent" and self.batch_id is not None

    @property
    def needs_somebody(self) -> bool:
        return self.state in ("failed", "bounced") or self.in_doubt


def mails_for_somebody() -> list[Mail]:
    """Mails that failed, came back or may have gone: a person decides about each."""
    undecided = Mail.objects.filter(state__in=("failed", "bounced", "doubt", "sending"))
    undecided = undecided.select_related("batch__customer")
    return [mail for mail in undecided if mail.needs_somebody]


guard("office.Mail", may_change=True)
