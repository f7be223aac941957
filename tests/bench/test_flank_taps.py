"""Damage tapped on the flank: each tap is a plain form post, so that it works without JavaScript."""

import re

import pytest

from regrind.bench.inspecting import damage_map
from regrind.bench.models import Inspection
from regrind.bench.readings import each_mark
from regrind.geometry.units import parse

from .tray import inspect, pieces_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(2).lines.get()


@pytest.fixture
def tap(at_bench, line):
    """tap("at:2:0", **typed) -> what the page shows in the marks' rows then, by field name."""

    def send(more: str, **typed: str) -> dict[str, str]:
        rows = {f"mark_{n}_wear_land": "" for n in range(1, 7)}
        page = at_bench.post(f"/bench/{line}/inspect", more=more, **rows | typed)
        assert (page.status_code, Inspection.objects.count()) == (200, 0)
        html = page.content.decode()
        fields = re.findall(r'<input[^>]*name="(mark_\d+_\w+|tapped|rows)"[^>]*>', html)
        shown = {name: re.search(rf'name="{name}"\s+value="([^"]*)"', html) for name in fields}
        return {name: found[1].replace("\u202f", " ") for name, found in shown.items() if found}

    return send


def test_a_tap_fills_the_first_empty_row_with_tooth_and_heights(tap, line):
    assert damage_map.list_bands(line)[:3] == [(0, 254_000), (254_000, 508_000), (508_000, 1_016_000)]
    assert damage_map.list_bands(line)[-1][1] == line.family.flute_length_nm
    shown = tap("at:2:2", mark_1_tooth="1", mark_1_to=".3", mark_1_depth="2 thou")
    assert (shown["mark_2_tooth"], shown["mark_2_from"], shown["mark_2_to"]) == ("2", ".0200 in", ".0400 in")
    assert shown["tapped"] == "2"
    assert shown["mark_1_to"] == ".3"


def test_a_second_tap_on_the_tooth_stretches_the_mark_until_it_has_a_depth(tap):
    first = {"mark_1_tooth": "2", "mark_1_from": ".0200 in", "mark_1_to": ".0400 in", "tapped": "1"}
    stretched = tap("at:2:0", **first)
    assert (stretched["mark_1_from"], stretched["mark_1_to"], "mark_2_tooth" in stretched) == ("0", ".0400 in", False)
    other = tap("at:3:0", **first)
    assert (other["mark_1_from"], other["mark_2_tooth"]) == (".0200 in", "3")
    deep = tap("at:2:0", mark_1_depth="4 thou", **first)
    assert (deep["mark_1_from"], deep["mark_2_to"]) == (".0200 in", ".0100 in")


def test_one_tap_repeats_a_mark_on_every_tooth_and_then_it_is_kept(tap, at_bench, line, inspect_typed):
    mark = {
        "mark_1_tooth": "2",
        "mark_1_from": "0",
        "mark_1_to": ".0400 in",
        "mark_1_depth": "4 thou",
        "mark_1_what": "chip",
    }
    shown = tap("every:1", **mark)
    assert [shown[f"mark_{n}_tooth"] for n in (1, 2, 3)] == ["2", "1", "3"]
    assert "mark_4_tooth" not in shown
    again = tap("every:1", **{name: text for name, text in shown.items() if name not in ("tapped", "rows")})
    assert "mark_4_tooth" not in again
    ids = list(line.pieces.values_list("pk", flat=True))
    sent = {name: text for name, text in shown.items() if name != "tapped"} | inspect_typed | {"reach": ".04"}
    answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **sent)
    assert answer.status_code == 302, answer.content.decode()
    kept = [mark["to"] for mark in each_mark(Inspection.objects.get(copied_from=None))]
    assert sorted((to.tooth, to.nm, to.description) for to in kept) == [(n, 1_016_000, "chip") for n in (1, 2, 3)]


def test_a_mark_is_taken_up_again_or_removed(tap):
    two = {f"mark_{n}_{name}": text for n in (1, 2) for name, text in (("tooth", str(n)), ("to", ".3"))}
    assert tap("mark:2", **two)["tapped"] == "2"
    shown = tap("clear:1", **two)
    assert {name for name in shown if name.startswith("mark_")} == {"mark_2_tooth", "mark_2_to"}


def test_the_end_is_tapped_on_the_same_drawing(at_bench, line):
    rows = {f"mark_{n}_wear_land": "" for n in range(1, 7)}
    page = at_bench.post(f"/bench/{line}/inspect", more="end", end_depth=".01", **rows)
    html = page.content.decode()
    assert html.count('name="end_depth"') == 1
    assert re.search(r'name="end_depth"[^>]*autofocus', html)
    assert 'aria-label="Damage on the end face, damaged"' in html


@pytest.mark.parametrize("land", ["", "6 thou"])
def test_the_deepest_damage_left_empty_is_that_of_marks_which_all_have_a_depth(at_bench, line, inspect_typed, land):
    ids = list(line.pieces.values_list("pk", flat=True))
    marks = {"mark_1_tooth": "1", "mark_1_to": ".02", "mark_1_depth": "6 thou"}
    marks |= {"mark_2_tooth": "2", "mark_2_from": ".02", "mark_2_to": ".3"}
    marks |= {"mark_2_wear_land": land, "wear_land_way": "cutting"} if land else {"mark_2_depth": "2 thou"}
    sent = inspect_typed | {"damage_depth": "", "reach": ""} | marks
    answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **sent)
    assert answer.status_code == (422 if land else 302)
    if not land:
        row = Inspection.objects.get(copied_from=None)
        assert (row.damage_nm, row.reach_nm) == (152_400, 7_620_000)


def test_rows_are_added_where_none_is_empty(tap):
    full = {f"mark_{n}_{name}": text for n in range(1, 7) for name, text in (("tooth", "1"), ("to", ".3"))}
    shown = tap("at:3:1", **full)
    assert (shown["rows"], shown["mark_7_tooth"]) == ("7", "3")


@pytest.mark.parametrize(
    "more",
    ["at:", "at:0:0", "at:4:0", "at:1:99", "at:1", "at:x:1", "at:١:0", "every:", "every:9", "every:-1", "at:1:1:1"],
)
def test_a_strange_tap_changes_nothing(tap, more):
    shown = tap(more, mark_1_tooth="1", mark_1_to=".3", rows="x" * 9, tapped="9" * 40)
    assert {name: text for name, text in shown.items() if name != "rows"} == {"mark_1_tooth": "1", "mark_1_to": ".3"}


def test_a_cell_is_darker_where_the_damage_is_deeper(line):
    marks = {
        1: {"tooth": "1", "from": "0", "to": ".020", "depth": "6 thou", "wear_land": ""},
        2: {"tooth": "2", "from": ".020", "to": ".040", "depth": "1 thou", "wear_land": ""},
        3: {"tooth": "3", "from": "", "to": "half", "depth": "", "wear_land": ""},
    }
    bands = damage_map.unroll(line, 3, marks)
    assert [cell.shade for cell in bands[0].cells] == [3, 0, 0]  # at the end
    assert [cell.shade for cell in bands[2].cells] == [0, 1, 0]
    assert bands[2].cells[1].name == "Tooth 2, .0200\u202fin to .0400\u202fin"


def test_marks_that_no_longer_fit_are_told_and_never_left_out_in_silence(at_bench, line):
    """Three teeth: 46 marks, and one repeated on the two others is one too many; then one more is tapped."""
    where = f"/bench/{line}/inspect"
    sent = {
        f"mark_{n}_{name}": text
        for n in range(1, 49)
        for name, text in (("tooth", "1"), ("to", f".{300 + n}"), ("depth", f"{n} thou"), ("wear_land", ""))
    }
    sent |= {f"mark_{n}_{name}": "" for n in (47, 48) for name in ("tooth", "to", "depth")}
    fits = at_bench.post(where, more="every:1", **sent)
    assert "marks fit here" not in fits.content.decode()
    assert fits.context["form"]["mark_48_tooth"].value() == "3"
    sent |= {f"mark_47_{name}": text for name, text in (("tooth", "1"), ("to", ".5"), ("depth", "1 thou"))}
    told = at_bench.post(where, more="every:1", **sent)
    assert "No more than 48 marks fit here" in told.content.decode()
    full = sent | {f"mark_48_{name}": text for name, text in (("tooth", "1"), ("to", ".6"), ("depth", "1 thou"))}
    assert "No more than 48 marks fit here" in at_bench.post(where, more="at:2:0", **full).content.decode()


def test_the_depths_that_the_family_had_most_often_are_offered_to_be_tapped(line, at_bench, make_batch, bench_hand):
    for depth, times in (("4 thou", 3), ("2 thou", 2), ("9 thou", 1), ("7 thou", 1), ("6 thou", 1)):
        for _ in range(times):
            inspect(
                by=bench_hand,
                pieces=pieces_of(make_batch(1).lines.get()),
                expected={},
                damage="depth",
                typed={"damage_depth": parse(depth), "reach": parse(".06 in")},
            )
    rows = {f"mark_{n}_wear_land": "" for n in range(1, 7)}
    html = at_bench.post(f"/bench/{line}/inspect", more="at:2:0", **rows).content.decode()
    offered = re.findall(r'data-fill="id_mark_1_depth"\s+data-value="([^"]+)"', html)
    assert offered == [".0020\u202fin", ".0040\u202fin", ".0060\u202fin", ".0070\u202fin"]
