"""What someone has typed and not yet saved: kept on the server, offered to the same person only, dropped by saving."""

import json

from django.db import transaction
from django.db.models import Exists, OuterRef, Q
from django.http import HttpRequest

from ..models import Draft, Person, SentForm

LONGEST = 20_000
PART = "draft"  # the hidden field of a form that says which part of its page is typed: one piece of a line


def name_of(request: HttpRequest) -> str:
    """What a sent form's draft is kept under, as its page names it: its path, and the part of it that it is about."""
    part = request.POST.get(PART, "")
    return f"{request.path}?{part}" if part else request.path


def keep(*, person: Person, form: str, sequence: int, content: str, once: str = "") -> bool:
    """Keep a draft; the highest sequence wins, so that one that comes late changes nothing. False where it is no draft.

    form: as `name_of`. once: the form's once-only key. content: JSON, a list of [name, value] pairs of text.
    """
    if len(content) > LONGEST or not _is_pairs(content):
        return False
    with transaction.atomic():
        there = Draft.objects.select_for_update().filter(person=person, form=form[:80]).first()
        if there is None:
            Draft.objects.update_or_create(
                person=person, form=form[:80], defaults={"sequence": sequence, "once": once[:40], "content": content}
            )
        elif sequence > there.sequence:
            Draft.objects.filter(pk=there.pk).update(sequence=sequence, once=once[:40], content=content)
    return True


def find(*, person: Person, form: str) -> str:
    """The content kept for this person and page, "" where there is none, or where it came later than its own save."""
    there = Draft.objects.filter(person=person, form=form[:80]).first()
    if there is None or (there.once and SentForm.objects.filter(key=there.once).exists()):
        return ""
    return there.content


def drop(*, person: Person, form: str) -> None:
    """Forget a draft: it was saved, or its writer no longer wants it; and those that came later than their own save."""
    saved = Exists(SentForm.objects.filter(key=OuterRef("once")))
    Draft.objects.filter(Q(form=form[:80]) | saved, person=person).delete()


def _is_pairs(content: str) -> bool:
    try:
        pairs = json.loads(content)
    except (ValueError, RecursionError):
        return False
    return isinstance(pairs, list) and all(
        isinstance(pair, list) and len(pair) == 2 and all(isinstance(text, str) for text in pair) for pair in pairs
    )
