"""Drafts: what someone has typed and not saved yet. Offered to that person only, discarded by saving."""

import json

from django.db import transaction
from django.db.models import Exists, OuterRef, Q
from django.http import HttpRequest

from ..models import Draft, Person, SentForm

LONGEST = 20_000
PART = "draft"  # hidden field: which part of its page a form is about, such as one piece of a line


def name_of(request: HttpRequest) -> str:
    """The name of a sent form's draft: the path of its page, and the part of the page that it is about."""
    part = request.POST.get(PART, "")
    return f"{request.path}?{part}" if part else request.path


def save(*, person: Person, form: str, sequence: int, content: str, once: str = "") -> bool:
    """Save a draft; the highest sequence wins, so that a late one changes nothing. False where it is not a draft.

    form: as `name_of`. once: the form's once-only key. content: JSON, a list of [name, value] pairs of text.
    """
    if len(content) > LONGEST or not _is_pairs(content):
        return False
    with transaction.atomic():
        draft = Draft.objects.select_for_update().filter(person=person, form=form[:80]).first()
        if draft is None:
            Draft.objects.update_or_create(
                person=person, form=form[:80], defaults={"sequence": sequence, "once": once[:40], "content": content}
            )
        elif sequence > draft.sequence:
            Draft.objects.filter(pk=draft.pk).update(sequence=sequence, once=once[:40], content=content)
    return True


def find(*, person: Person, form: str) -> str:
    """This person's draft of a page; "" where there is none, or where its form has been saved since."""
    draft = Draft.objects.filter(person=person, form=form[:80]).first()
    if draft is None or (draft.once and SentForm.objects.filter(key=draft.once).exists()):
        return ""
    return draft.content


def drop(*, person: Person, form: str) -> None:
    """Discard a draft, and every other draft of this person whose form has been saved since."""
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
