"""What someone has typed and not yet saved: kept on the server, offered to the same person only, dropped by saving."""
import json

from django.db import transaction

from .models import Draft, Person

LONGEST = 20_000


def keep(*, person: Person, form: str, sequence: int, content: str) -> bool:
    """Keep a draft; the highest sequence wins, so that one that comes late changes nothing. False where it is no draft.

    form: the path of the page. content: JSON, a list of [name, value] pairs of text.
    """
    if len(content) > LONGEST or not _is_pairs(content):
        return False
    with transaction.atomic():
        there = Draft.objects.select_for_update().filter(person=person, form=form[:80]).first()
        if there is None:
            Draft.objects.update_or_create(person=person, form=form[:80],
                                           defaults={"sequence": sequence, "content": content})
        elif sequence > there.sequence:
            Draft.objects.filter(pk=there.pk).update(sequence=sequence, content=content)
    return True


def find(*, person: Person, form: str) -> str:
    """The content kept for this person and page, "" where there is none."""
    there = Draft.objects.filter(person=person, form=form[:80]).first()
    return there.content if there else ""


def drop(*, person: Person, form: str) -> None:
    """Forget a draft: it was saved, or its writer no longer wants it."""
    Draft.objects.filter(person=person, form=form[:80]).delete()


def _is_pairs(content: str) -> bool:
    try:
        pairs = json.loads(content)
    except (ValueError, RecursionError):
        return False
    return isinstance(pairs, list) and all(
        isinstance(pair, list) and len(pair) == 2 and all(isinstance(text, str) for text in pair) for pair in pairs)
