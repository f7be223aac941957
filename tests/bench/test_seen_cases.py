"""Cases as they were seen at the bench before they were mended, by page: each went out wrong without a question."""

import json
import math

import pytest

from regrind.bench.models import FinalCheck, Inspection
from regrind.geometry.lag import set_stylus
from regrind.record.models import Family, Line

from .tray import INCH, ground, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db


def card_of(hand, where):
    return hand.open(where).context["cards"][0].card


def test_an_assumed_helix_of_37_5_degrees_leaves_the_relief_unsure_by_five_and_a_half(make_batch, at_bench, hand):
    """An 8 mm carbide of unknown helix: 12.0° ± 1.1° was told; a 30° tool that is set by it gets 7.8°."""
    family = Family.objects.create(kind="square", nominal_nm=8_000_000, teeth=4, material="carbide")
    line = make_batch(1, number=460, of=family).lines.get()
    [piece] = pieces_of(line)
    read = {"diameter": "7.99 mm", "diameter_source": "measured", "method": "micrometer", "teeth": "4"}
    at_bench.post(
        "/bench/460-1/inspect", pieces=[piece.pk], damage="depth", damage_depth="0.03 mm", reach="1.5 mm", **read
    )
    group = str(Inspection.objects.get().pk)
    at_bench.post("/bench/460-1/plan", pieces=[piece.pk], do="keep", option="0", group=group, reason="by phone")
    card = card_of(hand, "/bench/460-1/setup-card")
    assert card.expanded_deg == pytest.approx(5.5, abs=0.3)
    radius, distance = card.plan.diameter_nm / 2e6, card.machine.distance_mm
    lag = distance * math.tan(math.radians(30)) / radius
    relief_at_30 = math.asin(card.stylus.tip_below_mm / radius) + lag
    assert math.degrees(relief_at_30) == pytest.approx(7.8, abs=0.3)
    assert card.relief_deg - card.expanded_deg < math.degrees(relief_at_30)
    by_30 = set_stylus(radius, relief_at_30, math.radians(30), distance, agree=True)
    assert by_30.tip_below_mm == pytest.approx(card.stylus.tip_below_mm, abs=1e-6)


def test_a_relief_of_3_59_degrees_and_four_thou_of_runout_are_not_inside(make_batch, bench_hand, hand):
    """3.59° for 12° with .004 in of runout left as "inside"; its twin "not read, as the first, released"."""
    family = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3, material="carbide")
    line = make_batch(2, number=461, of=family).lines.get()
    Line.objects.update(check_every=5)
    ready_to_grind(line, bench_hand)
    ground(line, bench_hand, parts="sides")
    one, twin = pieces_of(line)
    read = {"diameter": ".2408", "method": "v-anvil", "runout_sides": ".004", "passed": "yes"}
    read |= {"drop": ".00021", "drop_over": ".010", "drop_way": "tangent", "coating": "bare", "sure": "on"}
    refused = hand.send("/bench/461-1/check", **read)
    errors = refused.context["form"].errors
    assert "is outside 11.0° to 13.0°" in errors["drop"][0]
    assert "runout on the sides: .0040\u202fin is outside" in errors["runout_sides"][0]
    assert "released_because" in errors
    because = {"released_because": "the customer takes it"}
    refused = hand.send("/bench/461-1/check", **read, **because)
    assert "was not measured" in refused.context["form"].errors["pieces"][0]
    assert hand.send("/bench/461-1/check", **read, **because, pieces=[one.pk]).status_code == 302
    row = FinalCheck.objects.get()
    assert abs(row.relief_cdeg - 359) < 3
    states = {item["what"]: item["state"] for item in json.loads(row.findings)}
    assert (states["primary relief"], states["runout on the sides"]) == ("outside", "outside")
    twin.refresh_from_db()
    assert twin.status == "ground"
