"""The page of one batch: its head, counts that reconcile, lines, and the step that comes next."""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils import timezone

from regrind.record.models import Batch
from regrind.record.moves import reconcile
from regrind.shop.models import Person

from . import overview
from .forms import BatchHeadForm, ForeignItemForm
from .mended import batch_bar


@dataclass
class NextStep:
    """The one button that stands out: where it leads, and what it says."""

    address: str
    label: str


def page_values(person: Person, batch: Batch, form: BatchHeadForm, foreign_form: ForeignItemForm) -> dict[str, Any]:
    """Everything that the page of a batch shows to this person."""
    counts = reconcile(batch)
    rows, empty = overview.lines(batch)
    differs = None if batch.their_count is None else counts["received"] - batch.their_count
    more_to_come = not batch.closed and (not rows or (differs is not None and differs < 0))
    return {
        "batch": batch,
        "undo": batch_bar(person, batch),
        "form": form,
        "lines": rows,
        "empty": empty,
        "counts": counts,
        "count_rows": _count_rows(batch, counts),
        "differs": differs,
        "missing": overview.missing(rows),
        "foreign_form": foreign_form,
        "foreign_items": batch.foreign_items.select_related("event__by").order_by("pk"),
        "late": bool(batch.due and not batch.closed and batch.due < timezone.localdate()),
        "state_words": _state_words(batch, bool(rows)),
        "open_details": bool(form.errors or (differs and rows and not batch.difference)),
        "may_bench": person.may("bench"),
        "show_office": person.may("front_desk") and (person.may("bench") or more_to_come),
        "add_lines": bool(rows) and not more_to_come,
        "next_step": _next_step(person, batch, bool(rows), more_to_come),
    }


def _count_rows(batch: Batch, counts: dict[str, int]) -> list[tuple[str, int | None, bool]]:
    """(label, count, whether it is the shop's own total)."""
    returned = counts["left_ground"] + counts["left_returned_unground"] + counts["left_scrap"]
    return [
        ("Customer's count", batch.their_count, False),
        ("Logged", counts["received"], True),
        ("On hand", counts["on_hand"], False),
        ("Missing", counts["missing"], False),
        ("At the coater", counts["at_coater"], False),
        ("Returned", returned, False),
        ("Recycled here", counts["recycled"], False),
    ]


def _state_words(batch: Batch, has_lines: bool) -> str:
    if batch.cancelled:
        return "cancelled"
    if batch.closed:
        return "closed: nothing of it is here or at the coater"
    return "open" if has_lines else "open: nothing logged yet"


def _next_step(person: Person, batch: Batch, has_lines: bool, more_to_come: bool) -> NextStep:
    if batch.cancelled:
        return NextStep(reverse("receiving:batches"), "All boxes")
    if more_to_come:
        label = "Add the next lines" if has_lines else "List what is in it"
        return NextStep(reverse("receiving:lines", args=[batch.number]), label)
    if person.may("bench"):
        return NextStep(reverse("bench:page"), "Open the bench")
    return NextStep(reverse("office:batch", args=[batch.number]), "Prices, parcels, documents")
