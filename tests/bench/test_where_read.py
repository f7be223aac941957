"""Each reading says where it was taken; helix and gash are asked where they decide; some tools cannot be measured."""

import math
import re

import pytest

from regrind.bench.inspecting.helix import find_deciding_helix
from regrind.bench.models import Inspection, Reading
from regrind.bench.planning.allowances import usual_of
from regrind.bench.planning.case import build_case
from regrind.geometry.units import parse
from regrind.record.models import Family
from regrind.shop.owner.settings import shop_settings

from .plan_pages import html_of, next_on

pytestmark = pytest.mark.django_db
INCH = 25_400_000
MARK = {"mark_1_tooth": "1", "mark_1_to": ".06", "mark_1_wear_land": "0.25 mm", "deepest_tooth": "0"}


@pytest.fixture
def line(make_batch):
    return make_batch(2).lines.get()


@pytest.fixture
def send(at_bench, line, inspect_typed):
    ids = list(line.pieces.order_by("number").values_list("pk", flat=True))

    def post(**more):
        return at_bench.post(f"/bench/{line}/inspect", pieces=ids, **inspect_typed | more)

    return post


def first() -> Inspection:
    return Inspection.objects.get(copied_from=None)


def case_of(line):
    return build_case(line, first(), usual_of(line.family)).case


def test_a_diameter_says_over_which_edge_it_was_taken(send, at_bench, line):
    assert send().status_code == 302
    assert first().diameter_place == "unworn"
    assert "where the edge is unworn" in at_bench.get(f"/bench/piece/{line}-1").content.decode()


def test_a_diameter_over_a_worn_edge_is_named_on_the_plan(send, at_bench, line):
    assert send(diameter_worn="on").status_code == 302
    assert first().diameter_place == "worn"
    assert "read over a worn edge" in at_bench.get(f"/bench/{line}/plan").content.decode()
    page = at_bench.get(f"/bench/{line}/inspect?piece={first().piece_id}").content.decode()
    assert re.search(r'name="diameter_worn"[^>]*checked', page)


def test_a_diameter_as_marked_was_taken_nowhere(send):
    assert send(diameter_source="marked", diameter_worn="on").status_code == 302
    assert first().diameter_place == ""


def test_the_offered_nominal_is_as_marked(at_bench, line):
    """The button sets the source too; what it does there is tried in a browser."""
    page = at_bench.get(f"/bench/{line}/inspect").content.decode()
    button = page[page.index("data-fill=") :][:400]
    assert 'data-check="id_diameter_source_1"' in button
    assert re.search(r'value="marked"[^>]*id="id_diameter_source_1"', page)


def test_a_wear_land_needs_its_way(send):
    answer = send(**MARK)
    assert answer.status_code == 422
    assert "Choose how it was read" in answer.content.decode()
    assert Inspection.objects.count() == 0


@pytest.mark.parametrize(("way", "factor"), [("square", math.cos(math.radians(30))), ("cutting", 1.0)])
def test_a_wear_land_square_to_the_edge_is_wider_in_the_cutting_direction(send, line, way, factor):
    """0.25 mm at 30°: 0.25 / cos 30° = 0.28868 mm, 8 µm of depth at 12° of relief."""
    Family.objects.filter(pk=line.family_id).update(helix_cdeg=3000)
    line.family.refresh_from_db()
    assert send(**MARK, wear_land_way=way).status_code == 302
    assert first().wear_land_way == way
    [land] = [mark.wear_land_nm for mark in case_of(line).marks if mark.wear_land_nm]
    assert land == round(250_000 / factor)
    assert Reading.objects.get(quantity="wear_land").nm == 250_000  # as it was read


def test_without_wear_lands_no_way_is_recorded(send):
    assert send(wear_land_way="square").status_code == 302
    assert first().wear_land_way == ""


def test_helix_and_gash_are_readings_and_the_case_takes_them_first(send, line):
    Family.objects.filter(pk=line.family_id).update(helix_cdeg=4500)
    line.family.refresh_from_db()
    assert send(helix="32.5", gash_length=".040").status_code == 302
    read = first().readings
    assert (read["helix"].cdeg, read["gash_length"].nm) == (3250, parse(".040 in").nm)
    tool = case_of(line).tool
    assert (tool.helix_deg, tool.gash_length_nm) == (32.5, parse(".040 in").nm)


@pytest.mark.parametrize(
    ("field", "typed", "message"),
    [
        ("helix", "61", "from 0° to 60°"),
        ("helix", "-1", "from 0° to 60°"),
        ("gash_length", "5 in", "out of range"),
    ],
)
def test_helix_and_gash_name_their_range(send, field, typed, message):
    answer = send(**{field: typed})
    assert answer.status_code == 422
    assert message in answer.content.decode()


def test_a_helix_that_decides_the_relief_is_asked_with_the_diameter(at_bench, make_batch):
    family = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=4, material="carbide")
    line = make_batch(1, of=family).lines.get()
    assert find_deciding_helix(line, shop_settings()).field == "helix_deg"
    page = at_bench.get(f"/bench/{line}/inspect").content.decode()
    assert page.count('name="helix"') == 1
    assert page.index('name="helix"') < page.index('name="damage_depth"')
    assert "the relief as ground hangs on it" in page
    family.helix_cdeg = 3000
    family.save()
    page = at_bench.get(f"/bench/{line}/inspect").content.decode()
    assert page.count('name="helix"') == 1
    assert page.index('name="helix"') > page.index('name="core"')


@pytest.mark.parametrize("reason", ["broken_off", "worn_through", "cracked"])
def test_one_tap_says_that_it_cannot_be_measured(at_bench, line, reason):
    where, ids = f"/bench/{line}/inspect", list(line.pieces.values_list("pk", flat=True))
    assert f'name="unmeasurable_reason" value="{reason}"' in at_bench.get(where).content.decode()
    sent = {"diameter": "", "diameter_source": "measured", "damage": "depth", "damage_depth": "", "reach": ""}
    answer = at_bench.post(where, pieces=ids, unmeasurable_reason=reason, **sent)
    assert answer.status_code == 302
    assert answer.url == f"/bench/{line}/plan"
    rows = list(Inspection.objects.all())
    assert {(row.damage, row.unmeasurable_reason) for row in rows} == {("unmeasurable", reason)}
    assert not Reading.objects.exists()
    built = build_case(line, first(), usual_of(line.family))
    assert built.case is None
    assert "damage that can be measured" in built.lacks


def test_a_reason_that_is_none_of_the_three_is_refused(at_bench, line, inspect_typed):
    ids = list(line.pieces.values_list("pk", flat=True))
    answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, unmeasurable_reason="ugly", **inspect_typed)
    assert answer.status_code == 422
    assert Inspection.objects.count() == 0


def test_a_drill_that_is_broken_off_is_saved_in_one_tap_too(at_bench, make_batch):
    line = make_batch(1, of=Family.objects.create(kind="drill", nominal_nm=INCH // 2)).lines.get()
    ids = list(line.pieces.values_list("pk", flat=True))
    sent = {"diameter": "", "diameter_source": "measured", "damage": "depth"}
    answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, unmeasurable_reason="broken_off", **sent)
    assert answer.status_code == 302
    assert first().unmeasurable_reason == "broken_off"


@pytest.mark.parametrize("kind", ["square", "drill", "ball"])
def test_what_cannot_be_measured_goes_to_the_plan_with_scrap_first(at_bench, make_batch, kind):
    family = Family.objects.create(kind=kind, nominal_nm=INCH // 4, teeth=3 if kind == "square" else None)
    line = make_batch(1, of=family).lines.get()
    ids = list(line.pieces.values_list("pk", flat=True))
    sent = {"diameter": "", "diameter_source": "measured", "damage": "depth"}
    at_bench.post(f"/bench/{line}/inspect", pieces=ids, unmeasurable_reason="broken_off", **sent)
    html = html_of(at_bench, line)
    assert next_on(at_bench, line, 0) == "scrap"
    assert "roken off" in html
    assert "Send to grinding" not in html


@pytest.mark.parametrize(("teeth", "degrees"), [(3, 60), (5, 108), (7, 128.57)])
def test_a_v_anvil_serves_the_teeth_that_its_angle_fits(at_bench, make_batch, gauges, teeth, degrees):
    """The angle is 180° less 360° over the teeth: three chords of a circle touch the V and the anvil (geometry)."""
    gauge = gauges["v-anvil"]
    typed = {"diameter": ".2498", "diameter_source": "measured", "damage": "nothing", "method": "v-anvil"}
    for flutes in (3, 5, 7):
        type(gauge).objects.filter(pk=gauge.pk).update(anvil_cdeg=round(degrees * 100))
        family = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=flutes, helix_cdeg=3000 + flutes)
        line = make_batch(1, of=family).lines.get()
        ids = list(line.pieces.values_list("pk", flat=True))
        page = at_bench.get(f"/bench/{line}/inspect").content.decode()
        assert (f"not for {flutes} teeth" in page) is (flutes != teeth)
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, gauge=gauge.pk, teeth=flutes, **typed)
        assert answer.status_code == (302 if flutes == teeth else 422)
        if flutes != teeth:
            assert f"{gauge.name} has an anvil of {degrees:g}°; {flutes} teeth need" in answer.content.decode()
