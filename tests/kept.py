"""Rows that are made once and stay for all tests of a module: what costs seconds to make is not made for each test.

    @pytest.fixture(scope="module")
    def years(django_db_setup, django_db_blocker):
        yield from kept(django_db_blocker, lambda: call_command("demo"))

Each test still runs in a transaction of its own within, so that what it changes is gone after it. Tests that want an
empty shop belong into another module.
"""

from collections.abc import Callable, Iterator
from typing import TypeVar

from django.db import transaction

Made = TypeVar("Made")


def kept(blocker, make: Callable[[], Made]) -> Iterator[Made]:
    """Yields what `make` returns; its rows are taken back when the last test of the scope is over."""
    with blocker.unblock():
        around = transaction.atomic()
        around.__enter__()
        try:
            made = make()
        except BaseException as error:
            around.__exit__(type(error), error, error.__traceback__)
            raise
    yield made
    with blocker.unblock():
        transaction.set_rollback(True)
        around.__exit__(None, None, None)
