"""What a line's family adds and nobody confirmed is never known: it is asked for, or said to be assumed."""

import re

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import FinalCheck, Inspection
from regrind.bench.planning.actions import decide
from regrind.bench.readings import Angle
from regrind.geometry.units import parse
from regrind.paper import cautions
from regrind.receiving.actions import confirm_dimensions, log_line
from regrind.record.models import Family, Line
from regrind.shop.events import Refusal
from regrind.shop.models import Wheel

from .tray import INCH, ground, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db
PUBLISHED = "a maker’s tolerance for carbide finishers of this diameter"


@pytest.fixture
def coated():
    """A family of quarter-inch end mills of which everything is known."""
    return Family.objects.create(
        kind="square",
        nominal_nm=INCH // 4,
        teeth=3,
        material="carbide",
        coating="AlTiN",
        helix_cdeg=4000,
        flute_length_nm=INCH * 3 // 4,
    )


@pytest.fixture
def logged(make_batch, front_desk):
    """logged(family, teeth=3) -> a line of two that states its size, and what is given beside."""

    def make(family, count=2, number=440, **stated):
        batch = make_batch(number=number)
        stated = {"nominal_nm": family.nominal_nm, **stated}
        return log_line(by=front_desk, batch=batch, family=family, count=count, stated=stated)

    return make


def inspect_and_plan(line, by, **read):
    typed = {"diameter": parse(".2498 in"), "damage_depth": parse(".002 in"), "reach": parse(".06 in")}
    inspect(by=by, pieces=pieces_of(line), expected={}, typed=typed, damage="depth", teeth=3, method="v-anvil", **read)
    groups_option = {"chosen": 0, "group": str(Inspection.objects.get(copied_from=None, piece__line=line).pk)}
    decide(by=by, pieces=pieces_of(line), expected={}, decision="grind", reason="", **groups_option)


def text_of(page) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page.content.decode()))


def test_pages_say_beside_a_tools_name_what_is_only_assumed(coated, logged, hand):
    logged(coated, teeth=3)
    page = hand.open("/bench/440-1/inspect").content.decode()
    assert "1/4\u202fin, 3 flutes, end mill, square (assumed: carbide, AlTiN, helix 40°)" in page


def test_the_inspection_page_offers_to_confirm_what_decides_and_goes_on_from_there(coated, logged, hand):
    Family.objects.update(maker="Ork", overall_nm=INCH * 5 // 2)
    line = logged(coated, teeth=3)
    page = hand.open("/bench/440-1/inspect")
    assert [name for name, _ in page.context["assumed"]] == ["material", "coating", "helix_cdeg", "flute_length_nm"]
    form = re.search(r'<section class="assumed-values">.*?</section>', page.content.decode(), re.S)[0]
    once = re.search(r'name="once" value="([^"]+)"', form)[1]
    sent = {"once": once, "names": "helix_cdeg", "next": re.search(r'name="next" value="([^"]+)"', form)[1]}
    answer = hand.client.post(re.search(r'action="([^"]+)"', form)[1], sent)
    assert answer.status_code == 302
    assert answer.headers["Location"].endswith("/bench/440-1/inspect")
    page = hand.open("/bench/440-1/inspect")
    assert [name for name, _ in page.context["assumed"]] == ["material", "coating", "flute_length_nm"]
    assert Line.objects.get(pk=line.pk).confirmed == '{"helix_cdeg": 4000}'


def test_a_name_tells_what_a_setup_for_the_usual_tool_would_get_wrong(make_batch):
    """A left-hand cutter that is set as a right-hand one, or an unequal index divided evenly, is scrap."""
    odd = {"hand_of_cut": "left", "hand_of_helix": "left", "unequal_index": True}
    family = Family.objects.create(kind="square", nominal_nm=INCH // 2, teeth=4, material="HSS", **odd)
    name = "1/2\u202fin, 4 flutes, end mill, square, HSS, left-hand cut, left-hand helix, unequal index"
    assert family.name("in") == name
    assert make_batch(1, of=family).lines.get().tools == name


def test_an_unequal_index_is_told_on_the_card_of_the_end(coated, logged, bench_hand, hand):
    logged(coated, teeth=3, unequal_index=True)
    line = logged(coated, number=441, teeth=3)
    for one in (Line.objects.get(batch__number=440), line):
        typed = {"diameter": parse(".2498 in"), "end_depth": parse(".005 in"), "reach": parse(".005 in")}
        inspect(by=bench_hand, pieces=pieces_of(one), expected={}, typed=typed, damage="corners", teeth=3)
        group = str(Inspection.objects.get(copied_from=None, piece__line=one).pk)
        decide(by=bench_hand, pieces=pieces_of(one), expected={}, decision="grind", reason="x", chosen=0, group=group)
    words = "Unequal index: line up each tooth by itself"
    assert words in text_of(hand.open("/bench/440-1/setup-card"))
    assert words not in text_of(hand.open("/bench/441-1/setup-card"))


def test_a_coating_that_the_sides_take_off_is_asked_about(coated, logged, bench_hand, hand):
    line = logged(coated, teeth=3)
    typed = {"diameter": parse(".2498 in"), "damage_depth": parse(".002 in"), "reach": parse(".06 in")}
    inspect(by=bench_hand, pieces=pieces_of(line), expected={}, typed=typed, damage="depth", teeth=3)
    page = hand.open("/bench/440-1/plan", option=0)
    assert page.context["option"]["sides"]
    assert "comes off the flank (AlTiN, assumed from the family): agree whether it is coated again" in text_of(page)


def test_assumed_teeth_are_asked_for_and_not_filled_in(coated, logged, hand):
    logged(coated)
    page = hand.open("/bench/440-1/inspect")
    assert page.context["form"]["teeth"].value() is None
    assert "3 flutes, assumed from the family: count them." in text_of(page)
    logged(coated, number=441, teeth=3)
    assert hand.open("/bench/441-1/inspect").context["form"]["teeth"].value() == 3


def test_the_teeth_that_were_counted_go_before_the_familys_at_the_check(coated, logged, bench_hand, hand):
    """A family of three, a tool of four: the micrometer serves, the V-anvil does not."""
    line = logged(coated)
    ready_to_grind(line, bench_hand, teeth=4)
    ground(line, bench_hand)
    form = hand.open("/bench/440-1/check").context["form"]
    assert (form.teeth, form.initial["method"]) == (4, "micrometer")


def test_an_unequal_index_that_the_line_states_is_measured_swept(coated, logged, bench_hand, hand):
    line = logged(coated, teeth=3, unequal_index=True)
    page = hand.open("/bench/440-1/inspect").context["form"]
    assert page.initial["method"] == "swept"
    ground(line, bench_hand)
    assert hand.open("/bench/440-1/check").context["form"].initial["method"] == "swept"
    refused = hand.send("/bench/440-1/check", diameter=".2408", method="v-anvil", passed="yes")
    assert "method" in refused.context["form"].errors


def test_a_material_that_is_only_assumed_picks_no_published_runout(coated, logged, bench_hand, front_desk):
    line = logged(coated, teeth=3)
    [first, second] = ground(line, bench_hand)
    read = {"diameter": parse(".2408 in"), "runout_sides": parse(".0019 in")}
    check(by=bench_hand, pieces=[first], expected={}, typed=read)
    assert "runout on the sides" not in FinalCheck.objects.get(piece=first).findings
    confirm_dimensions(by=front_desk, line=line, names=["material"])
    with pytest.raises(Refusal, match="runout on the sides"):
        check(by=bench_hand, pieces=pieces_of(line, "ground"), expected={}, typed=read)
    assert second.pk


def test_an_assumed_coating_is_neither_offered_at_the_check_nor_at_the_coater(coated, logged, bench_hand, hand):
    line = logged(coated, teeth=3)
    ground(line, bench_hand)
    assert not hand.open("/bench/440-1/check").context["form"]["coating"].value()
    assert not hand.open("/bench/440-1/at-coater").context["send"]["coating"].value()
    refused = hand.send("/bench/440-1/check", diameter=".2408", method="v-anvil", passed="yes", coating="AlTiN")
    assert "only after a coater" in refused.context["form"].errors["coating"][0]


def test_a_stated_coating_counts_though_the_family_knows_of_none(logged, bench_hand, hand):
    line = logged(Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3), teeth=3, coating="TiN")
    ground(line, bench_hand)
    form = hand.open("/bench/440-1/check").context["form"]
    assert form["coating"].value() == "coating ground off on the flank"


def test_the_wrong_wheel_for_an_assumed_material_is_asked_about_and_says_so(coated, logged, bench_hand, hand):
    line = logged(coated, teeth=3)
    inspect_and_plan(line, bench_hand)
    wheel = Wheel.objects.create(name="B1", abrasive="CBN", diameter_nm=100_000_000, grit="B91")
    refused = hand.send("/bench/440-1/grind", wheel=wheel.pk, minutes="4", grinds=["sides", "end"])
    [message] = refused.context["form"].errors["wheel"]
    assert "These tools: carbide, assumed from the family." in message
    assert "assumed from the family" in text_of(hand.open("/bench/440-1/setup-card", wheel=wheel.pk, distance=".06"))


def test_a_tool_of_assumed_material_gets_the_cautions_of_every_material(coated, logged, bench_hand, front_desk, hand):
    line = logged(coated, teeth=3)
    inspect_and_plan(line, bench_hand)
    for where in ("/bench/440-1/grind", "/bench/440-1/setup-card"):
        assert set(cautions.STEEL) < set(hand.open(where).context["cautions"])
    confirm_dimensions(by=front_desk, line=line, names=["material"])
    assert not set(cautions.STEEL) & set(hand.open("/bench/440-1/setup-card").context["cautions"])


@pytest.mark.parametrize(
    ("material", "says"), [("indexable", "its inserts are changed, not ground"), ("tipped", "the braze")]
)
def test_what_a_line_states_decides_though_its_family_knows_no_material(logged, bench_hand, hand, material, says):
    """An indexable cutter that joins a family of unknown material was planned as a solid one."""
    plain = Family.objects.create(kind="square", nominal_nm=INCH // 2, teeth=4)
    line = logged(plain, teeth=4, material=material)
    typed = {"diameter": parse(".4998 in"), "damage_depth": parse(".002 in"), "reach": parse(".06 in")}
    inspect(by=bench_hand, pieces=pieces_of(line), expected={}, typed=typed, damage="depth")
    page = hand.open("/bench/440-1/plan")
    assert says in text_of(page)
    assert not page.context["group"].options
    if material == "indexable":
        with pytest.raises(Refusal, match="not reground"):
            decide(by=bench_hand, pieces=pieces_of(line), expected={}, decision="grind", reason="")


def test_an_assumed_material_that_stops_the_plan_says_that_it_is_assumed(logged, bench_hand, hand):
    tipped = Family.objects.create(kind="square", nominal_nm=INCH // 2, teeth=4, material="tipped")
    line = logged(tipped, teeth=4)
    typed = {"diameter": parse(".4998 in"), "damage_depth": parse(".002 in"), "reach": parse(".06 in")}
    inspect(by=bench_hand, pieces=pieces_of(line), expected={}, typed=typed, damage="depth")
    assert "(tipped, assumed from the family: confirm it, or change the kind of the line)" in text_of(
        hand.open("/bench/440-1/plan")
    )


def test_an_assumed_helix_is_asked_for_and_widens_the_relief_on_the_card(coated, logged, bench_hand, front_desk, hand):
    line = logged(coated, teeth=3)
    page = hand.open("/bench/440-1/inspect")
    assert "helix 40°, assumed from the family, and the relief as ground hangs on it" in text_of(page)
    inspect_and_plan(line, bench_hand)
    [card] = [one.card for one in hand.open("/bench/440-1/setup-card").context["cards"]]
    assert "helix_deg" in card.assumed
    assert card.uncertainty.by_helix_rad
    assert card.asks_helix
    confirm_dimensions(by=front_desk, line=line, names=["helix_cdeg"])
    [sure] = [one.card for one in hand.open("/bench/440-1/setup-card").context["cards"]]
    assert "helix_deg" not in sure.assumed
    assert not sure.uncertainty.by_helix_rad
    assert sure.expanded_deg < card.expanded_deg / 2


def test_a_helix_that_was_read_is_not_assumed_on_the_card(coated, logged, bench_hand, hand):
    line = logged(coated, teeth=3)
    inspect_and_plan(line, bench_hand, angles={"helix": Angle(4000, "40")})
    [card] = [one.card for one in hand.open("/bench/440-1/setup-card").context["cards"]]
    assert "helix_deg" not in card.assumed
    assert not card.uncertainty.by_helix_rad


def test_pieces_that_a_card_sets_otherwise_do_not_share_one(coated, logged, bench_hand, hand):
    """The same sizes, but one relief was read at 8°: one card would have ground both alike."""
    line = logged(coated, teeth=3)
    one, other = pieces_of(line)
    typed = {"diameter": parse(".2498 in"), "damage_depth": parse(".002 in"), "reach": parse(".06 in")}
    for piece, cdeg in ((one, 1200), (other, 800)):
        angles = {"primary": Angle(cdeg, "")}
        inspect(by=bench_hand, pieces=[piece], expected={}, typed=typed, damage="depth", teeth=3, angles=angles)
        row = Inspection.objects.get(piece=piece)
        decide(by=bench_hand, pieces=[piece], expected={}, decision="grind", reason="", chosen=0, group=str(row.pk))
    cards = [page.card for page in hand.open("/bench/440-1/setup-card").context["cards"]]
    assert [round(card.relief_deg) for card in cards] == [12, 8]


def test_an_assumed_corner_radius_is_marked_on_the_card(logged, bench_hand, hand):
    radius = Family.objects.create(
        kind="radius", nominal_nm=INCH // 2, teeth=4, material="carbide", corner_radius_nm=INCH // 32
    )
    line = logged(radius, teeth=4)
    typed = {"diameter": parse(".4998 in"), "damage_depth": parse(".002 in"), "reach": parse(".06 in")}
    inspect(by=bench_hand, pieces=pieces_of(line), expected={}, typed=typed, damage="depth")
    decide(by=bench_hand, pieces=pieces_of(line), expected={}, decision="grind", reason="", grinds="end")
    [card] = hand.open("/bench/440-1/setup-card").context["cards"]
    figures = {figure.label: figure for shown in card.sections for figure in [*shown.first, *shown.others]}
    assert figures["Corner radius to form"].assumed
