"""The plan page for tests: its group, its text, and the button that takes an option."""

import re

from regrind.record.models import Piece


def group_on(at_bench, line) -> str:
    return re.search(r'name="group" value="(\d+)"', at_bench.get(f"/bench/{line}/plan").content.decode()).group(1)


def html_of(at_bench, line, query="") -> str:
    """The plan page on one line, so that how its template is wrapped does not matter."""
    return re.sub(r"[ \n]+", " ", at_bench.get(f"/bench/{line}/plan{query}").content.decode())


def keep(at_bench, line, ids, option=0, **more):
    return at_bench.post(
        f"/bench/{line}/plan", do="keep", group=group_on(at_bench, line), option=option, pieces=ids, **more
    )


def where(ids) -> list[str]:
    return list(Piece.objects.filter(pk__in=ids).order_by("number").values_list("status", flat=True))


def next_on(at_bench, line, option) -> str:
    html = at_bench.get(f"/bench/{line}/plan?option={option}").content.decode()
    return re.search(r'<button class="next"[^>]*value="(\w+)"', html)[1]
