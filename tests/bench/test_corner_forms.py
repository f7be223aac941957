"""Corners, balls and gashes from the inspection to the label: the figures of the pages against sums done by hand.

The published case is that of the geometry notes: a ball of 12.675 mm worn .1524 mm up to 3.81 mm needs .3605 mm.
"""

import math

import pytest

from regrind.bench.grinding.card_sections import list_sections
from regrind.bench.models import Inspection, Plan
from regrind.bench.planning.more_work import price_gash
from regrind.geometry.tables import rows
from regrind.record.models import Line, Piece
from regrind.shop.models import ShopSettings

from .corner_pages import card_of, figures, options
from .plan_pages import html_of, keep

pytestmark = pytest.mark.django_db


FINISH = 0.0508  # mm, the shop's own for the end


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
