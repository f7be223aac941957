"""What is typed and not saved, as the pages would offer it."""

import pytest

from regrind.shop.models import Draft
from regrind.shop.posts import drafts


def offered_drafts() -> list[str]:
    """The name of every draft that its page still offers.

    A draft that was on its way while its form was saved leaves a row behind; that row is never offered.
    """
    return [row.form for row in Draft.objects.all() if drafts.find(person=row.person, form=row.form)]


def open_until_offered(page, address: str) -> None:
    """Open a page until it offers a draft. One sent as its page went may reach the server after the next page did.

    The browser tells nobody of the answer to such a draft, so that a test cannot wait for it.
    """
    for _ in range(20):
        page.goto(address)
        page.wait_for_load_state("networkidle")
        if page.get_by_role("button", name="Restore them").count():
            return
    pytest.fail("the draft is not offered")
