"""A plan that can be trusted: stated damage counts, no more is cut away than is usual, and wrecks are for scrap."""

import re
from dataclasses import replace

import pytest

from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import Plan
from regrind.bench.planning import groups
from regrind.geometry.case import read
from regrind.geometry.inputs import Typical
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.geometry.units import parse
from regrind.record.models import Customer, Family, Piece
from regrind.shop.undo import undo

from .plan_pages import group_on, html_of, keep, next_on, where
from .tray import pieces_of

pytestmark = pytest.mark.django_db
INCH = 25_400_000


@pytest.fixture
def worn(at_bench, make_batch, inspect_typed):
    """worn(of={...}, depth=...) -> a line of one piece, inspected as typed."""

    def make(of=None, **typed):
        family = Family.objects.create(**{"kind": "square", "nominal_nm": INCH // 4, "teeth": 3} | (of or {}))
        line = make_batch(1, of=family).lines.get()
        ids = list(line.pieces.values_list("pk", flat=True))
        sent = inspect_typed | {"deepest_tooth": "0", "wear_land_way": "cutting"} | typed
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, sure="on", **sent)
        assert answer.status_code == 302, answer.content.decode()
        return line, ids

    return make


def group_of(at_bench, line):
    return at_bench.get(f"/bench/{line}/plan").context["group"]


STATED = {"damage_depth": ".010", "reach": ".100"}
MARK = {"mark_1_tooth": "2", "mark_1_from": "", "mark_1_to": ".050", "mark_1_depth": ".002"}


def test_a_shallow_mark_does_not_delete_the_deepest_damage(at_bench, worn):
    """.052 in off the end would leave .010 in deep from .052 to .100 in: the sides must lose .010 in there."""
    line, _ids = worn(**STATED, **MARK)
    group = group_of(at_bench, line)
    for option in group.options:
        deep_gone = option["cut_back_mm"] >= 0.102 * 25.4 - 1e-9
        assert deep_gone or min(option["removal_radial_mm"]) >= (0.010 + 0.0005) * 25.4 - 1e-9
    assert as_dict(work_out(read(group.case))) == group.answer
    html = html_of(at_bench, line)
    assert "On which tooth is the deepest damage?" in html
    assert "damage .0100\u202fin deep back to .1000\u202fin on every tooth" in html


@pytest.mark.parametrize(
    ("mark", "agrees"),
    [
        ({"mark_1_depth": ".010", "mark_1_to": ".100"}, True),
        ({"mark_1_depth": ".012", "mark_1_to": ".120"}, True),
        ({"mark_1_depth": ".009", "mark_1_to": ".100"}, False),
        ({"mark_1_depth": ".010", "mark_1_to": ".090"}, False),
        ({"mark_1_depth": "", "mark_1_wear_land": ".040", "mark_1_to": ".100"}, True),
        ({"mark_1_depth": "", "mark_1_wear_land": ".005", "mark_1_to": ".100"}, False),
    ],
)
def test_marks_agree_where_one_is_as_deep_and_one_reaches_as_far(at_bench, worn, mark, agrees):
    line, _ids = worn(**STATED, **MARK | mark)
    group = group_of(at_bench, line)
    assert (group.unmarked == "") is agrees
    assert len([mark for mark in group.case["damage"] if "tooth" in mark]) == (1 if agrees else 4)


def test_two_marks_agree_together(at_bench, worn):
    other = {"mark_2_tooth": "1", "mark_2_from": "", "mark_2_to": ".100", "mark_2_depth": ".001"}
    line, _ids = worn(**STATED, **MARK | {"mark_1_depth": ".010", "mark_1_to": ".020"}, **other)
    assert group_of(at_bench, line).unmarked == ""


TYPICAL = Typical(100_000, 500_000)
HSS_25_MM = {
    "of": {"nominal_nm": 25_000_000, "teeth": 4, "material": "HSS", "flute_length_nm": 45_000_000},
    "diameter": "24.98 mm",
    "teeth": "4",
    "method": "micrometer",
    "damage_depth": ".3 mm",
    "reach": "40 mm",
}


def test_most_of_the_flute_is_asked_about_not_cut_off_by_one_tap(at_bench, worn):
    """25 mm HSS worn to 40 of 45 mm: 40 mm off the end leaves less than one diameter of flute."""
    line, ids = worn(**HSS_25_MM)
    group = group_of(at_bench, line)
    ends = [n for n, option in enumerate(group.options) if option["cut_back_mm"] >= 40]
    assert [group.options[n]["verdict"] for n in ends] == ["ask"]
    assert "outside_flute_floor" in group.options[ends[0]]["reasons"]
    assert group.preferred not in ends
    assert next_on(at_bench, line, ends[0]) == "ask"
    html = html_of(at_bench, line, f"?option={ends[0]}")
    assert "the shortest flute usually left, none being named" in html
    refused = keep(at_bench, line, ids, option=ends[0])
    assert refused.status_code == 422
    assert "leaves less of the tool than is usual. Write why" in refused.content.decode()
    assert Plan.objects.count() == 0
    assert keep(at_bench, line, ids, option=ends[0], reason="customer wants it short, by phone").status_code == 302
    assert Plan.objects.get().verdict == "ask"


def test_a_cut_that_comes_close_to_a_floor_goes_before_a_size_that_no_limit_allows(at_bench, worn):
    """A half-inch carbide chipped .090 deep back to .150: the sides would be ground to .3185 with a rake of −59°.

    Common practice: such a chip is cut off the end. Both are asked about, for the flute length is a guess.
    """
    family = {"kind": "square", "nominal_nm": INCH // 2, "teeth": 4, "material": "carbide", "helix_cdeg": 3500}
    line, _ids = worn(family, diameter=".4995", damage_depth=".090", reach=".150", method="micrometer", teeth="4")
    group = group_of(at_bench, line)
    best, other = group.options[group.preferred], group.options[1 - group.preferred]
    assert (best["verdict"], other["verdict"]) == ("ask", "ask")
    assert (best["sides"], best["end"], other["sides"]) == (False, True, True)
    assert any(limit["verdict"] == "outside" for limit in other["limits"])
    assert "the best verdict, and past no limit" in html_of(at_bench, line)


def test_why_a_doubtful_tool_is_ground_is_not_written_twice(at_bench, worn, bench_hand):
    line, ids = worn(**HSS_25_MM)
    group = group_of(at_bench, line)
    [end] = [n for n, option in enumerate(group.options) if option["cut_back_mm"] >= 40]
    assert "Written for" not in html_of(at_bench, line, f"?option={end}")
    assert keep(at_bench, line, ids, option=end, reason="customer wants it short").status_code == 302
    undo(by=bench_hand, done=Plan.objects.get().event)
    page = at_bench.get(f"/bench/{line}/plan?option={end}")
    assert page.context["form"]["why"].value() == "customer wants it short"
    html = html_of(at_bench, line, f"?option={end}")
    assert "Written for 1-1 by" in html
    assert 'data-fill="id_why" data-value="customer wants it short"' in html
    other = next(n for n, option in enumerate(group.options) if option["reasons"] != group.options[end]["reasons"])
    assert at_bench.get(f"/bench/{line}/plan?option={other}").context["form"]["why"].value() is None


@pytest.mark.parametrize("keeps", ["", "diameter", "length"])
def test_no_option_that_is_offered_first_is_past_a_floor_where_another_is_not(at_bench, worn, keeps):
    line, _ids = worn(**HSS_25_MM)
    Customer.objects.update(keep=keeps)
    group = group_of(at_bench, line)

    def keeps_floors(option):
        return all(line["verdict"] == "inside" for line in option["limits"] if line["limit"].endswith("_floor"))

    best = group.options[group.preferred]
    assert keeps_floors(best) or not any(
        keeps_floors(option) for option in group.options if option["verdict"] == best["verdict"]
    )


def test_regrinds_left_say_what_they_are_counted_down_to(at_bench, worn, monkeypatch):
    usual_of = groups.usual_of
    monkeypatch.setattr(groups, "usual_of", lambda family: replace(usual_of(family), typical=TYPICAL))
    Customer.objects.update(under_nm=None)
    line, _ids = worn(**HSS_25_MM)
    group = group_of(at_bench, line)
    option = group.options[group.preferred]
    assert option["counted_to"]["diameter_mm"] == 22.5  # a tenth off 25 mm, as published for this size
    assert option["regrinds_left"] <= 11
    assert "down to .8858\u202fin and .9843\u202fin of flute" in html_of(at_bench, line)


def test_damage_at_the_core_offers_scrap_first(at_bench, worn):
    """60 thou on a quarter inch tool."""
    line, ids = worn(damage_depth=".060")
    html = html_of(at_bench, line)
    assert "Damaged down to the core: grinding the damage away leaves no tool" in html
    assert "Send to grinding" not in html
    assert re.findall(r'<button class="next"[^>]*value="(\w+)"', html) == ["scrap"]
    at_bench.post(f"/bench/{line}/plan", do="scrap", pieces=ids, reason="damaged down to the core")
    assert Piece.objects.get().result == "scrap"


def test_damage_at_the_core_is_asked_about_where_the_customer_wants_that(at_bench, worn):
    line, _ids = worn(damage_depth=".060")
    Customer.objects.update(never_scrap_unasked=True)
    assert re.findall(r'<button class="next"[^>]*value="(\w+)"', html_of(at_bench, line)) == ["ask"]


@pytest.mark.parametrize(
    ("family", "words"),
    [
        ({"material": "tipped"}, "the braze and the thickness of a carbide tip"),
    ],
)
def test_a_tool_without_a_page_for_its_geometry_is_asked_about_by_hand(at_bench, worn, family, words):
    line, ids = worn(of=family)
    html = html_of(at_bench, line)
    assert words in html
    assert "Decided by hand" in html
    assert group_of(at_bench, line).answer is None
    assert re.findall(r'<button class="next"[^>]*value="(\w+)"', html) == ["ask"]
    by_hand = {"pieces": ids, "grinds": ["end"], "group": group_on(at_bench, line)}
    refused = at_bench.post(f"/bench/{line}/plan", do="plain", **by_hand)
    assert (refused.status_code, list(refused.context["form"].errors), where(ids)) == (422, ["why"], ["inspected"])
    at_bench.post(f"/bench/{line}/plan", do="plain", **by_hand, why="as ever, by phone")
    plan = Plan.objects.get()
    assert (plan.verdict, plan.case, plan.diameter_nm, plan.grinds) == ("ask", "", None, "end")
    assert where(ids) == ["ready_to_grind"]


@pytest.mark.parametrize(("gash", "again"), [("40 thou", True), ("80 thou", False)])
def test_a_cut_back_past_the_gash_says_that_it_is_gashed_again(at_bench, make_batch, bench_hand, gash, again):
    """.060 in of corners and .002 in to finish are .062 in off the end: past a gash of .040 in, not one of .080 in."""
    line = make_batch(1).lines.get()
    typed = {
        name: parse(text) for name, text in {"diameter": ".2498 in", "reach": ".06 in", "gash_length": gash}.items()
    }
    inspect(by=bench_hand, pieces=pieces_of(line), expected={}, typed=typed, damage="corners", method="v-anvil")
    [option] = group_of(at_bench, line).options
    assert ("gash_again" in option["reasons"]) is again
    assert option["gash_left_mm"] == pytest.approx(0 if again else (0.080 - 0.062) * 25.4)
    assert ("the end has to be gashed again" in html_of(at_bench, line)) is again


def test_what_is_asked_about_by_hand_keeps_the_sizes_that_were_typed(at_bench, worn):
    line, ids = worn(of={"material": "tipped"})
    typed = {"grinds": ["sides", "end"], "diameter": ".245", "cut_back": ".02", "reason": "grind to .245?"}
    at_bench.post(f"/bench/{line}/plan", do="ask", pieces=ids, group=group_on(at_bench, line), **typed)
    plan = Plan.objects.get()
    assert (plan.decision, plan.grinds, plan.diameter_nm, plan.cut_back_nm) == ("ask", "sides end", 6_223_000, 508_000)
    assert where(ids) == ["waiting"]
