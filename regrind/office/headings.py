"""The facts below the titles of the office pages."""

from django.urls import reverse
from django.utils.dateformat import format as date_format
from django.utils.timezone import localdate

from regrind.record.contacts import contact_for
from regrind.record.models import Batch, Line


def batch_facts(batch: Batch) -> list[str]:
    """Customer and order number."""
    return [str(batch.customer), *([f"order number {batch.order_number}"] if batch.order_number else [])]


def batch_dates(batch: Batch) -> list[str]:
    """When it was received, and when it is due."""
    due = [f"due {date_format(batch.due, 'j M Y')}"] if batch.due else []
    return [f"received {date_format(localdate(batch.received_at), 'j M Y')}", *due]


def line_facts(line: Line) -> list[str]:
    """Customer with everything needed to reach them, and the tools of the line."""
    contact = contact_for(line.batch.customer, "quotes")
    reached = (contact.name, contact.phone, contact.mail) if contact else ()
    return [text for text in (line.batch.customer.name, *reached, line.tools) if text]


def batch_link(batch: Batch) -> dict[str, str]:
    """The step of the trail that leads back to the batch."""
    return {
        "batch_label": f"Batch {batch.number}",
        "batch_address": reverse("office:batch", args=[batch.number]),
    }
