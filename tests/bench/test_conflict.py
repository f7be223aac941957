"""Two tablets on one tool: the second is shown both values, side by side."""

import pytest

from regrind.bench.models import Inspection
from regrind.record.models import Piece

from .conftest import Page

pytestmark = pytest.mark.django_db


@pytest.fixture
def other(front_desk):
    from django.test import Client

    from regrind.shop.models import Person

    client = Client()
    client.force_login(Person.objects.create_user("Cara", "a long password", bench=True))
    return Page(client)


def rows(answer) -> dict[str, tuple[str, str]]:
    return {name: (theirs, mine) for name, theirs, mine in answer.context["rows"]}


def test_two_inspections_of_one_piece_show_both_readings(at_bench, other, make_batch, gauges, inspect_typed):
    line = make_batch(1, number=417).lines.get()
    where, piece = "/bench/417-1/inspect", line.pieces.get()
    v_anvil = gauges["v-anvil"]
    inspect_typed |= {"gauge": str(v_anvil.pk)}
    assert other.post(where, pieces=[piece.pk], **inspect_typed).status_code == 302
    mine = inspect_typed | {"diameter": ".2495", "damage_depth": "3 thou"}
    clash = at_bench.post(where, pieces=[piece.pk], **mine, seen="")  # its page saw none yet
    assert clash.status_code == 409
    assert rows(clash)["diameter"] == (".2498", ".2495")
    assert rows(clash)["damage depth"] == ("4 thou", "3 thou")
    assert rows(clash)["damage"] == ("a depth", "a depth")  # the words of a choice, on both sides
    assert rows(clash)["teeth"] == ("3", "3")
    assert rows(clash)["gauge"] == (v_anvil.name, v_anvil.name)
    said = clash.content.decode()
    assert "Cara" in said
    assert "Yours, not saved" in said
    assert "Open the current page" in said
    assert Inspection.objects.count() == 1


def test_a_piece_that_went_on_shows_what_was_stored_of_it_last(at_bench, other, inspected, wheel):
    line, ids = inspected(2, number=417)
    plan = at_bench.get(f"/bench/{line}/plan")
    assert plan.status_code == 200
    Piece.objects.filter(pk__in=ids).update(status="ready_to_grind")
    page = at_bench.get(f"/bench/{line}/grind").content.decode()
    assert "once" in page
    Piece.objects.filter(pk=ids[0]).update(status="ground")
    clash = at_bench.post(f"/bench/{line}/grind", pieces=ids, minutes="5", grinds="sides", seen="", wheel=wheel.pk)
    assert clash.status_code == 409
    assert rows(clash)["minutes"] == ("", "5")
    assert rows(clash)["diameter"][0] == ".2498"
    assert "1-1 is ground" in clash.content.decode()


def test_both_sides_first_then_what_only_one_side_has():
    from regrind.shop.posts.saving import side_by_side

    told = side_by_side({"diameter": ".2498", "note": "chipped"}, [("tick", "a"), ("tick", "b"), ("diameter", ".25")])
    assert told == [("diameter", ".2498", ".25"), ("note", "chipped", ""), ("tick", "", "a, b")]


def test_a_plan_of_a_piece_that_went_on_says_where_it_is(at_bench, inspected):
    line, ids = inspected(2, number=417)
    page = at_bench.get(f"/bench/{line}/plan")
    typed = {"do": "returned_unground", "group": page.context["group"].key, "pieces": ids, "reason": "late"}
    Piece.objects.filter(pk=ids[0]).update(status="ready_to_grind")
    clash = at_bench.post(f"/bench/{line}/plan", **typed)
    assert clash.status_code == 409
    assert "1-1 is ready to grind" in clash.content.decode()
    assert set(Piece.objects.values_list("pk", "status")) == {(ids[0], "ready_to_grind"), (ids[1], "inspected")}
