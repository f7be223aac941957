"""What is typed and not saved, as the pages would offer it."""

from regrind.shop.models import Draft
from regrind.shop.posts import drafts


def offered_drafts() -> list[str]:
    """The name of every draft that its page still offers.

    A draft that was on its way while its form was saved leaves a row behind; that row is never offered.
    """
    return [row.form for row in Draft.objects.all() if drafts.find(person=row.person, form=row.form)]
