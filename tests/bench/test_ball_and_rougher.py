"""Balls and roughers from inspection to label: a card and a check of their own, and nothing offered that they lack."""

import json
import math
import re

import pytest

from regrind.bench.checking.corner_limit import find_corner_limit
from regrind.bench.grinding.card_sections import list_sections
from regrind.bench.inspecting import damage_map
from regrind.bench.models import FinalCheck, Plan
from regrind.geometry.tables import rows
from regrind.office.papers.labels import return_labels
from regrind.record.models import Customer, Family, Line, Piece
from regrind.review.filters import ReviewFilter
from regrind.review.piece_facts import read_facts

from .corner_pages import card_of, figures, options
from .plan_pages import html_of, keep

pytestmark = pytest.mark.django_db


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
