"""Worn tools, from the counter's line to the plan page: each is decided as a careful grinder would sign it."""

import re

import pytest
from django.test import Client

from regrind.bench.planning.parts import list_parts
from regrind.record.models import Batch, Customer, Line
from tests.bench.conftest import Page
from tests.receiving.conftest import Counter

from .tools import TOOLS
from .worn import Worn

pytestmark = pytest.mark.django_db
WAYS = {("sides", "end"): "both", ("sides", "ball"): "both", ("ball",): "end"}  # else what is ground first
HIDDEN_OR_CHECKED = re.compile(r'name="([^"]+)"\s+value="([^"]*)"')


@pytest.fixture
def at_bench(bench_hand) -> Page:
    client = Client()
    client.force_login(bench_hand)
    return Page(client)


@pytest.fixture
def log(front_desk, make_batch):
    """log(worn) -> the line as the counter keeps it, with the customer's limits where the tool has them."""

    def make(worn: Worn) -> Line:
        batch = make_batch(owner=Customer.objects.create(name="Brookside Tooling", unit=worn.unit))
        client = Client()
        client.force_login(front_desk)
        counter = Counter(client)
        answer = counter.keep(batch, worn.line, **{"l0-family_choice": "new"})
        assert answer.status_code == 302, [dict(line.form.errors) for line in answer.context["read"]]
        line = Line.objects.select_related("batch__customer", "family").get(batch=batch)
        state_limits(counter, batch, line, worn)
        return Line.objects.select_related("batch__customer", "family").get(pk=line.pk)

    return make


def state_limits(counter: Counter, batch: Batch, line: Line, worn: Worn) -> None:
    """Limits of this line, on the page where the office edits it."""
    limits = {"smallest": worn.least_diameter, "shortest": worn.least_usable, "chamfer": worn.clip}
    limits |= {"hole": worn.hole, "smaller_holes": worn.smaller_holes, "narrowest": worn.narrowest}
    if not any(limits.values()):
        return
    page = counter.client.get(f"/receiving/line/{line}/change")
    form = page.context["form"]
    fields = {bound.html_name: str(bound.value()) for bound in form if bound.value() not in (None, "", False)}
    answer = counter.post(
        f"/receiving/line/{line}/change", **fields | {name: text for name, text in limits.items() if text}
    )
    assert answer.status_code == 302, dict(answer.context["form"].errors)


def decide(page) -> str:
    """What the plan page comes to, as tools.py names it."""
    group = page.context["group"]
    if group.never:
        return "refused"
    if group.answer is None:
        return "scrap" if "scrap" in first_button(page) else "hand"
    answer = group.answer
    if group.by_hand:
        return "hand"
    if answer["recommended"] is None:
        return answer["verdict"]
    option = answer["options"][group.preferred]
    parts = list_parts(option)
    way = WAYS.get(parts[:2]) or next(iter(parts), "")
    return answer["verdict"] + (f" {way}" if answer["verdict"] == "grind" else "")


def first_button(page) -> str:
    """The words of the button that a hand would press without thinking."""
    button = re.search(r'<button[^>]*class="[^"]*next[^"]*"[^>]*>(.*?)</button>', page.content.decode(), re.S)
    return button[1].strip().lower() if button else ""


@pytest.mark.parametrize("worn", TOOLS, ids=[worn.name for worn in TOOLS])
def test_each_tool_is_decided_as_a_careful_grinder_would(worn, log, at_bench):
    line = log(worn)
    pieces = list(line.pieces.values_list("pk", flat=True))
    readings = {"diameter_source": "measured", "pieces": pieces} | worn.readings
    answer = at_bench.post(f"/bench/{line}/inspect", **readings)
    if "right as typed” and save again" in answer.content.decode():
        answer = at_bench.post(f"/bench/{line}/inspect", **readings, sure="on")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    page = at_bench.get(f"/bench/{line}/plan")
    decision, _, way = worn.decide.partition(" ")
    shown = decide(page)
    assert shown.split()[0] == decision, (shown, worn.why)
    assert not way or shown == worn.decide, (shown, worn.why)
    button = first_button(page)
    if decision != "hand":  # the customer may be asked first there, never sent scrap unasked
        assert ("ask" in button) == (decision == "ask"), button
    assert ("grind" in button) <= (decision in ("grind", "sound", "hand")), button
    assert ("scrap" in button) == (decision == "scrap"), button
