"""Corners, balls and gashes from the inspection to the label: the figures of the pages against sums done by hand.

The published case is that of the geometry notes: a ball of 12.675 mm worn .1524 mm up to 3.81 mm needs .3605 mm.
"""

import json
import math
import re

import pytest

from regrind.bench.checking.corner_limit import find_corner_limit
from regrind.bench.grinding.card import set_up
from regrind.bench.grinding.card_sections import list_sections
from regrind.bench.grinding.machine import machine_of
from regrind.bench.grinding.prefill import aim
from regrind.bench.inspecting import damage_map
from regrind.bench.models import FinalCheck, Inspection, Plan
from regrind.bench.planning.more_work import price_gash
from regrind.bench.revisions import newest
from regrind.geometry.tables import rows
from regrind.office.papers.labels import return_labels
from regrind.record.models import Customer, Family, Line, Piece
from regrind.review.filters import ReviewFilter
from regrind.review.piece_facts import read_facts
from regrind.shop.models import ShopSettings

from .plan_pages import html_of, keep

pytestmark = pytest.mark.django_db
FINISH = 0.0508  # mm, the shop's own for the end


@pytest.fixture
def worn(at_bench, make_batch):
    """worn(kind, diameter=…) -> a line of one inspected piece of a 4-flute carbide tool in mm, and its answer."""

    def make(kind: str, nominal_mm: float, *, of: dict | None = None, **typed: str):
        like = {"kind": kind, "nominal_nm": round(nominal_mm * 1e6), "teeth": 4, "material": "carbide"}
        family = Family.objects.create(**like | {"flute_length_nm": round(nominal_mm * 2.5e6)} | (of or {}))
        line = make_batch(
            1, of=family, owner=Customer.objects.create(name=f"Stillwell {nominal_mm}", unit="mm")
        ).lines.get()
        ids = list(line.pieces.values_list("pk", flat=True))
        sent = {"diameter_source": "measured", "method": "micrometer", "damage": "depth", "pieces": ids} | typed
        answer = at_bench.post(f"/bench/{line}/inspect", **sent)
        if answer.status_code != 302:
            answer = at_bench.post(f"/bench/{line}/inspect", **sent, sure="on")
        assert answer.status_code == 302, dict(answer.context["form"].errors)
        return line, ids

    return make


def options(at_bench, line) -> list[dict]:
    return at_bench.get(f"/bench/{line}/plan").context["group"].options


def card_of(line, piece):
    plans = newest(Plan, [piece])
    return set_up(aim([piece], plans)[0], None, machine_of(ShopSettings()), line.batch.customer.unit)


def figures(card, name: str) -> dict:
    section = next(section for section in list_sections(card) if section.name == name)
    return {figure.label: figure.nm if figure.nm is not None else figure.text for figure in section.figures}


def test_a_worn_ball_moves_back_by_what_the_notes_work_out(at_bench, worn):
    line, _ids = worn(
        "ball", 12.675, diameter="12.675 mm", damage_depth="0.1524 mm", reach="3.81 mm", flute_length="30 mm"
    )
    option = next(o for o in options(at_bench, line) if not o["sides"])
    assert option["cut_back_mm"] == pytest.approx(0.36050 + FINISH, abs=1e-5)
    assert (option["corner_form"], option["corner_size_mm"]) == ("ball", pytest.approx(6.3375))
    page = html_of(at_bench, line)
    assert "Ball radius after" in page
    assert "R 6.33" in page
    assert "Profile of the end: ball R 6.33" in page


def test_an_angle_is_the_same_place_as_its_height(at_bench, worn):
    """cos θ = 1 − 3.81/6.3375 by hand: θ = 66.50°."""
    theta = math.degrees(math.acos(1 - 3.81 / 6.3375))
    line, _ids = worn("ball", 12.675, diameter="12.675 mm", damage_depth="0.1524 mm", reach=f"{theta:.2f}°")
    option = next(o for o in options(at_bench, line) if not o["sides"])
    assert option["cut_back_mm"] == pytest.approx(0.36050 + FINISH, abs=1e-4)
    reading = Inspection.objects.get().readings["reach"]
    assert (reading.text, reading.unit) == (f"{theta:.2f}°", "deg")
    assert reading.nm == pytest.approx(3_810_000, abs=2_000)
    page = at_bench.get(f"/bench/{line}/inspect?group={Inspection.objects.get().pk}").content.decode()
    assert f'value="{theta:.2f}°"' in page


def test_a_radius_is_put_on_again_behind_what_the_notes_work_out(at_bench, worn):
    """The notes' example: D 10, RE 1, 0.08 deep from 20° to 70°: 0.18794 before the finish."""
    line, _ids = worn(
        "radius",
        10,
        of={"corner_radius_nm": 1_000_000},
        diameter="10 mm",
        damage_depth="0.08 mm",
        reach="70°",
        rows="6",
        mark_1_tooth="2",
        mark_1_from="20°",
        mark_1_to="70°",
        mark_1_depth="0.08 mm",
    )
    option = next(o for o in options(at_bench, line) if not o["sides"])
    assert option["cut_back_mm"] == pytest.approx(0.18794 + FINISH, abs=1e-5)
    assert (option["corner_size_mm"], option["corner"]) == (1.0, True)


def test_a_radius_that_nobody_knows_is_asked_for(at_bench, worn):
    line, _ids = worn("radius", 10, diameter="10 mm", damage_depth="0.08 mm", reach="0.5 mm")
    page = html_of(at_bench, line)
    assert "It lacks the corner radius" in page
    assert "Inspect again" in page


def test_another_radius_the_customer_takes_is_worked_out_beside_its_own(at_bench, worn):
    """The notes' example with RE 1.5: a larger radius takes the damage by itself (−0.10502), nothing off the end."""
    line, _ids = worn(
        "radius", 10, of={"corner_radius_nm": 1_000_000}, diameter="10 mm", damage_depth="0.08 mm", reach="70°",
        rows="6", mark_1_tooth="1", mark_1_from="20°", mark_1_to="70°", mark_1_depth="0.08 mm",
    )  # fmt: skip
    Line.objects.update(other_radius_nm=1_500_000)
    other = [o for o in options(at_bench, line) if "corner_changed" in o["reasons"]]
    assert [(o["corner_size_mm"], o["cut_back_mm"], o["verdict"]) for o in other] == [(1.5, 0.0, "grind")]
    assert "corner radius 1.500" in html_of(at_bench, line)


def test_the_gash_is_priced_by_minutes_a_tooth():
    """4 teeth at 1.5 minutes are 6 minutes, at 90.00 an hour 9.00. 3 teeth, 4.5 minutes at 95.00: 7.125, so 7.13."""
    shop = ShopSettings(gash_hundredths=150, rate_minor=9_000, currency="USD")
    assert (price_gash(shop, 4, None).hundredths, price_gash(shop, 4, None).price_minor) == (600, 900)
    assert price_gash(shop, 3, 9_500).price_minor == 713
    assert price_gash(shop, 3, 9_500).words == "gash 3 teeth again: 4.5 min, 7.13 USD at 95.00 an hour"


def test_a_cut_back_past_the_gash_tells_its_minutes_and_its_price(at_bench, worn):
    """0.6 back and 0.0508 to finish pass a gash of 0.5: gashed again, 4 × 1.5 min at 90.00."""
    line, ids = worn(
        "square", 10, diameter="9.99 mm", damage_depth="0.08 mm", reach="0.6 mm", gash_length="0.5 mm",
        flute_length="22 mm", centre_cutting="yes",
    )  # fmt: skip
    page = html_of(at_bench, line)
    assert "gash 4 teeth again: 6 min, 9.00 USD at 90.00 an hour" in page
    assert "centre-cutting is kept only where the long tooth is ground past the centre again" in page
    index = at_bench.get(f"/bench/{line}/plan").context["picked"]
    keep(at_bench, line, ids, option=index)
    card = card_of(line, Piece.objects.select_related("line__family", "line__batch__customer").get())
    steps = " ".join(step for section in list_sections(card) for step in section.steps)
    assert "The cut-back passes the gash: gash 4 teeth again: 6 min, 9.00 USD at 90.00 an hour." in steps
    assert "Centre-cutting is kept only where" in steps


def test_the_end_is_set_by_what_a_maker_publishes_where_nobody_read_it(at_bench, worn):
    """The row of square end mills with 4 flutes from .300 in on: dish 1.5°, end reliefs 7° and 16°."""
    line, ids = worn("square", 10, diameter="9.99 mm", damage_depth="0.08 mm", reach="0.6 mm", flute_length="22 mm")
    keep(at_bench, line, ids, option=at_bench.get(f"/bench/{line}/plan").context["picked"])
    card = card_of(line, Piece.objects.select_related("line__family", "line__batch__customer").get())
    end = figures(card, "end")
    names = ("Dish", "End relief, primary", "End relief, secondary")
    assert [end[name] for name in names] == ["1.5°", "7.0°", "16.0°"]
    table = rows("27b_endform_angles")
    row = [row for row in table if row["tool"] == "square end mill" and row["flutes"] == "4"][1]
    assert (row["dish_deg"], row["axial_primary_relief_deg"], row["axial_secondary_relief_deg"]) == ("1.5", "7", "16")
    drop = next(nm for label, nm in end.items() if label.startswith("Drop to aim for"))
    assert drop == pytest.approx(0.25 * math.tan(math.radians(7)) * 1e6, abs=1)


def test_a_drop_on_an_end_tooth_is_its_relief(at_bench, worn):
    """0.035 over 0.25 straight across: atan(0.14) = 7.97°."""
    worn(
        "square", 10, diameter="9.99 mm", damage_depth="0.08 mm", reach="0.6 mm", end_drop="0.035 mm",
        end_drop_over="0.25 mm",
    )  # fmt: skip
    assert Inspection.objects.get().end_relief_cdeg == 797


@pytest.fixture
def chipped(worn):
    """A 12 mm end mill chipped .15 deep and .25 back on every corner; the customer needs all of its length."""
    line, ids = worn("square", 12, diameter="11.99 mm", damage_depth="0.15 mm", reach="0.25 mm", flute_length="26 mm")
    Line.objects.update(shortest_nm=25_900_000, smallest_nm=11_800_000)
    return line, ids


def test_a_clip_that_was_agreed_saves_the_length(at_bench, chipped):
    """.25 back, .15 deep and .0508 to finish: .4508, up to the next .05 mm. Nothing comes off end or sides."""
    line, ids = chipped
    Line.objects.update(chamfer_nm=500_000)
    found = options(at_bench, line)
    clip = next(o for o in found if o["corner_form"] == "chamfer")
    assert (clip["corner_size_mm"], clip["cut_back_mm"], clip["sides"], clip["verdict"]) == (0.5, 0, False, "grind")
    page = html_of(at_bench, line)
    assert "corner clipped 0.500" in page
    assert "Clip of the corner, along the axis" in page
    keep(at_bench, line, ids, option=found.index(clip))
    assert Plan.objects.get().grinds == "corner"
    card = card_of(line, Piece.objects.select_related("line__family", "line__batch__customer").get())
    corner = figures(card, "corner")
    assert corner["Clip, its leg along the axis"] == 500_000
    assert corner["Off the sharp corner, square to the clip"] == round(500_000 / math.sqrt(2))
    assert [section.name for section in list_sections(card)] == ["corner"]


def test_a_clip_that_nobody_agreed_to_is_asked_about(at_bench, chipped):
    line, ids = chipped
    found = options(at_bench, line)
    clip = next(o for o in found if o["corner_form"] == "chamfer")
    assert (clip["verdict"], "corner_not_agreed" in clip["reasons"]) == ("ask", True)
    answer = keep(at_bench, line, ids, option=found.index(clip))
    assert answer.status_code == 422
    assert "has not agreed to another corner" in answer.content.decode()
    assert not Plan.objects.exists()


@pytest.fixture
def planned_ball(at_bench, worn):
    line, ids = worn("ball", 10, diameter="9.99 mm", damage_depth="0.05 mm", reach="60°", flute_length="22 mm")
    keep(at_bench, line, ids, option=at_bench.get(f"/bench/{line}/plan").context["picked"])
    return line, ids


def test_a_ball_has_a_card_of_its_own(at_bench, planned_ball):
    line, _ids = planned_ball
    plan = Plan.objects.get()
    assert plan.grinds == "ball"
    card = card_of(line, Piece.objects.select_related("line__family", "line__batch__customer").get())
    ball = figures(card, "ball")
    assert ball["Ball radius"] == 4_995_000
    assert ball["Swing centre, on the axis, behind the new tip"] == 4_995_000
    assert ball["Off the tip"] == plan.cut_back_nm
    page = at_bench.get(f"/bench/{line}/setup-card").content.decode()
    assert "Ball, by hand" not in page


def test_a_ball_is_checked_by_its_radius_and_labelled_with_both(at_bench, planned_ball):
    """A maker's tolerance for ball radii is half that of the diameter: .0127 mm here, so ± .00635 about 4.995."""
    line, ids = planned_ball
    limit = find_corner_limit(Line.objects.get(), Plan.objects.get())
    assert (limit.form, limit.planned_nm, limit.within_nm) == ("ball", 4_995_000, 6_350)
    at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["ball"], minutes="10")
    page = at_bench.get(f"/bench/{line}/check").content.decode()
    assert "Ball radius" in page
    assert "Planned ball radius" in page
    assert "± 0.006" in page
    typed = {"pieces": ids, "diameter": "9.99 mm", "corner": "re-formed", "passed": "yes"}
    wrong = at_bench.post(f"/bench/{line}/check", **typed, corner_size="4.985 mm")
    assert wrong.status_code == 422
    assert "ball radius: 4.985" in wrong.content.decode()
    assert at_bench.post(f"/bench/{line}/check", **typed, corner_size="4.997 mm").status_code == 302
    finding = next(one for one in json.loads(FinalCheck.objects.get().findings) if one["what"] == "ball radius")
    assert (finding["state"], finding["least_nm"], finding["most_nm"]) == ("inside", 4_988_650, 5_001_350)
    [fact] = read_facts(line.family, ReviewFilter()).pieces
    assert (fact.corner_planned_nm, fact.corner_nm) == (4_995_000, 4_997_000)
    [label] = return_labels(Line.objects.get(), list(line.pieces.all()), line.batch.received_at.date())
    assert (label.diameter.nm, label.corner.startswith("ball R 4.997")) == (9_990_000, True)


def test_a_published_tolerance_stands_behind_each_radius():
    table = {
        row["condition"]: row["value"] for row in rows("27_endform") if row["item"].startswith(("corner r", "ball r"))
    }
    assert table["corner radius end mills, all flutes"] == "+-.001"
    assert table["ball end mills, all flutes"] == "diameter tolerance / 2"


def test_the_arc_is_unrolled_in_steps_of_15_degrees(worn):
    line, _ids = worn("ball", 10, diameter="10 mm", damage_depth="0.05 mm", reach="60°")
    bands = damage_map.list_bands(line, 5_000_000)
    heights = [round(5e6 * (1 - math.cos(math.radians(degrees)))) for degrees in range(15, 91, 15)]
    assert [high for _low, high in bands[:6]] == heights
    typed: dict = {}
    assert damage_map.tap(typed, "at:2:2", line, 4, 6, 5_000_000) == 1
    assert (typed["mark_1_tooth"], typed["mark_1_from"], typed["mark_1_to"]) == ("2", "30°", "45°")


def test_no_page_offers_a_ball_what_it_has_not(at_bench, worn):
    line, ids = worn("ball", 10, diameter="9.99 mm", damage_depth="0.05 mm", reach="60°", flute_length="22 mm")
    inspection = at_bench.get(f"/bench/{line}/inspect").content.decode()
    assert not re.findall(r'name="(dish|end_primary|centre_cutting|end_depth|corner_size)"', inspection)
    keep(at_bench, line, ids, option=at_bench.get(f"/bench/{line}/plan").context["picked"])
    form = at_bench.get(f"/bench/{line}/grind").context["form"]
    assert [value for value, _words in form.fields["grinds"].choices] == ["sides", "ball", "face"]
    assert not form.has_gash


@pytest.fixture
def rougher(worn):
    """A 20 mm rougher of 4 teeth, worn .3 back from the edge all along; rake and relief read: 12° and 9°."""
    return worn(
        "rougher", 20, diameter="19.9 mm", back="0.3 mm", flute_length="38 mm", rake="12", primary="9",
        tooth_width="3 mm",
    )  # fmt: skip


def test_a_rougher_is_ground_on_its_face_alone(at_bench, rougher):
    """The spiral of the notes by hand: r' = 9.95 − 0.3 tan 9° = 9.90248; e = 9.95 sin 12°; 2.7 is left of the tooth."""
    line, ids = rougher
    [option] = options(at_bench, line)
    assert option["way"] == "face"
    assert option["diameter_mm"] == pytest.approx(2 * (9.95 - 0.3 * math.tan(math.radians(9))))
    assert option["set_over_mm"] == pytest.approx(9.95 * math.sin(math.radians(12)))
    assert option["tooth_width_mm"] == pytest.approx(2.7)
    page = html_of(at_bench, line)
    assert "A tooth ground on its face" in page
    assert "Stock off the face" in page
    assert "damage: 0.300 mm" in page.replace("\u202f", " ")
    assert "back from the edge" in page
    keep(at_bench, line, ids)
    assert Plan.objects.get().grinds == "face"
    card = card_of(line, Piece.objects.select_related("line__family", "line__batch__customer").get())
    face = figures(card, "face")
    assert face["Wheel’s plane behind the axis"] == round(9.95e6 * math.sin(math.radians(12)))
    assert face["Diameter after, as it comes out"] == Plan.objects.get().diameter_nm
    form = at_bench.get(f"/bench/{line}/grind").context["form"]
    assert [value for value, _words in form.fields["grinds"].choices] == ["face", "end"]


def test_a_rougher_without_its_rake_rests_on_what_a_maker_publishes(at_bench, worn):
    """The row of roughing mills from .300 in on: radial rake 11°, primary relief 9°; said to be assumed."""
    line, _ids = worn("rougher", 20, diameter="19.9 mm", back="0.3 mm", flute_length="38 mm")
    row = [row for row in rows("27b_endform_angles") if row["tool"] == "roughing mill"][1]
    assert (row["radial_rake_deg"], row["radial_primary_relief_deg"]) == ("11", "9")
    group = at_bench.get(f"/bench/{line}/plan").context["group"]
    assert (group.case["tool"]["rake_deg"], group.case["tool"]["primary_relief_deg"]) == (11.0, 9.0)
    assert any(words.startswith("radial rake 11° ± 4°") for words in group.assumed)


@pytest.mark.parametrize(("typed", "assumed"), [({}, {"rake", "relief"}), ({"rake": "12"}, {"relief"})])
def test_the_card_marks_a_rougher_s_angles_that_nobody_read(at_bench, worn, typed, assumed):
    line, ids = worn("rougher", 20, diameter="19.9 mm", back="0.3 mm", flute_length="38 mm", **typed)
    keep(at_bench, line, ids)
    card = card_of(line, Piece.objects.select_related("line__family", "line__batch__customer").get())
    face = next(section for section in list_sections(card) if section.name == "face")
    marked = {figure.label.split()[0].lower() for figure in face.figures if figure.assumed}
    assert marked == assumed


def test_half_a_tooth_s_width_is_a_floor_that_asks(at_bench, worn):
    """1.2 back of a tooth 2 wide leave 0.8, and 1.0 is usually left: asked, and not ground without a reason."""
    line, ids = worn("rougher", 20, diameter="19.9 mm", back="1.2 mm", flute_length="38 mm", tooth_width="2 mm")
    [option] = options(at_bench, line)
    floor = next(one for one in option["limits"] if one["limit"] == "tooth_width_floor")
    assert (floor["at_least"], floor["verdict"], option["verdict"]) == (1.0, "outside", "ask")
    assert "the narrowest tooth usually left" in html_of(at_bench, line)
    answer = keep(at_bench, line, ids)
    assert answer.status_code == 422
    assert "less of the tool than is usual" in answer.content.decode()


def test_a_wear_land_has_its_face_beside_the_flank(at_bench, worn):
    """The notes' example: 10 mm, 8°, 12°, land 0.2 on a flat: 9.92093 after; the flank is offered first."""
    line, _ids = worn(
        "square", 10, diameter="10 mm", damage_depth="0.04 mm", reach="15 mm", flute_length="22 mm", rake="8",
        primary="12", land="1 mm", wear_land_way="cutting", rows="6", mark_1_tooth="1", mark_1_to="15 mm",
        mark_1_wear_land="0.2 mm",
    )  # fmt: skip
    found = options(at_bench, line)
    face = next(option for option in found if option["way"] == "face" and not option["cut_back_mm"])
    assert face["diameter_mm"] == pytest.approx(9.92093, abs=1e-5)
    assert face["face_relief_deg"] == pytest.approx(9.618, abs=1e-3)
    assert found[at_bench.get(f"/bench/{line}/plan").context["picked"]]["way"] == "flank"
    page = html_of(at_bench, line, f"?option={found.index(face)}")
    assert "Turn of the tool into the wheel" in page


@pytest.mark.parametrize("lacking", [{"back": ""}, {"back": "0 mm"}])
def test_a_worn_rougher_needs_how_far_back_from_the_edge(at_bench, make_batch, lacking):
    family = Family.objects.create(kind="rougher", nominal_nm=20_000_000, teeth=4, material="HSS")
    line = make_batch(1, of=family, owner=Customer.objects.create(name="Stillwell", unit="mm")).lines.get()
    ids = list(line.pieces.values_list("pk", flat=True))
    sent = {"diameter": "19.9 mm", "diameter_source": "measured", "damage": "depth", "pieces": ids}
    answer = at_bench.post(f"/bench/{line}/inspect", **sent | lacking)
    assert answer.context["form"].errors["back"] == [
        "Write how far back from the edge the damage reaches, above 0, or choose no damage."
    ]
