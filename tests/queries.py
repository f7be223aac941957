"""How often a page asks the database, for budgets."""

import re
from collections.abc import Callable
from itertools import pairwise

from django.db import connection
from django.http import HttpResponse
from django.test.utils import CaptureQueriesContext


def spent(answer: Callable[[], HttpResponse], status: int) -> int:
    """How many queries a request took that was answered with this status.

    SQLite takes at most 999 values at once: many rows go into a table by several INSERTs, which count once.
    """
    with CaptureQueriesContext(connection) as queries:
        assert answer().status_code == status
    into = [inserted[0] if (inserted := re.match(r"INSERT INTO \S+", query["sql"])) else "" for query in queries]
    return sum(not table or table != before for before, table in pairwise(["", *into]))
