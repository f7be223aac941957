"""The job sheet groups its pieces by the setup that serves them, as the bench's own list of setups does."""

import pytest

from regrind.bench.planning.actions import decide
from regrind.bench.planning.groups import group_pieces
from regrind.bench.setups.waiting import find_waiting
from regrind.geometry.units import parse
from regrind.office.papers.drafts import draft
from regrind.record.models import Family, Line

from .conftest import pieces_of, words


@pytest.fixture
def plan(look, bench_hand):
    """plan(pieces, "sides", "0.2405 in") -> inspected, and planned to that diameter without a case."""

    def act(pieces, grinds="sides", to="0.2405 in", seen="0.2498 in"):
        look(pieces, seen)
        decide(by=bench_hand, pieces=pieces, expected={}, decision="grind", diameter_nm=parse(to).nm, grinds=grinds)

    return act


def more_lines(batch, *families):
    """Two pieces of each of these families, as further lines of a box."""
    made = []
    for number, family in enumerate(families, 2):
        line = Line.objects.create(batch=batch, number=number, family=family)
        line.pieces.bulk_create(
            [
                type(batch.pieces.first())(batch=batch, line=line, original_line=number, number=k, status="arrived")
                for k in (1, 2)
            ]
        )
        made.append(line)
    return made


def test_lines_that_one_setup_serves_stand_together_and_the_rest_comes_after(make_batch, plan, bench_hand, look):
    batch = make_batch(2, number=460)
    first = batch.lines.get()
    like = Family.objects.create(kind="square", nominal_nm=6_350_000, teeth=4, material="carbide")
    second, third, fourth = more_lines(batch, like, like, first.family)
    plan(pieces_of(first))
    plan(pieces_of(third))
    plan(pieces_of(second), grinds="end")
    look(pieces_of(fourth)[:1])
    decide(
        by=bench_hand,
        pieces=pieces_of(fourth)[:1],
        expected={},
        decision="not_ground",
        result="scrap",
        reason="shank bent",
    )
    setups = draft("job_sheet", "460").values.setups
    assert [(one.title, one.planned) for one in setups] == [
        ("Sides · lines 1, 3", True),
        ("End · line 2", True),
        ("Not planned yet · line 4", False),
        ("Not to be reground · line 4", False),
    ]
    assert [[line.number for line in one.lines] for one in setups] == [["1", "3"], ["2"], ["4"], ["4"]]
    assert setups[0].anew == ""
    assert setups[1].anew == "Change: what is ground."
    assert [one.card is None for one in setups] == [False, False, True, True]
    assert sum(piece.count for one in setups for line in one.lines for piece in line.pieces) == 8
    text = words(draft("job_sheet", "460").draw())
    assert (
        text.index("Setup 1 · Sides · lines 1, 3")
        < text.index("Setup 2 · End · line 2")
        < text.index("Not planned yet · line 4")
        < text.index("Not to be reground · line 4")
    )
    assert "Setup 3" not in text


def test_the_setups_are_those_of_the_bench_s_own_list(make_batch, plan):
    batch = make_batch(2, number=461)
    hss = Family.objects.create(kind="square", nominal_nm=19_050_000, teeth=4, material="HSS")
    drill = Family.objects.create(kind="drill", nominal_nm=5_000_000, material="HSS")
    second, third = more_lines(batch, hss, drill)
    plan(pieces_of(batch.lines.get(number=1)))
    plan(pieces_of(second), to="0.74 in", seen="0.7498 in")
    plan(pieces_of(third), grinds="point", to="0.19 in", seen="0.19 in")
    on_the_bench = {frozenset(str(lot.line.number) for lot in stage.lots) for stage in find_waiting().stages}
    on_paper = {frozenset(line.number for line in one.lines) for one in draft("job_sheet", "461").values.setups}
    assert on_paper == on_the_bench
    assert len(on_paper) == 3


def test_a_card_that_grinds_no_sides_asks_for_none_of_their_figures(make_batch, plan):
    line = make_batch(2, number=462).lines.get()
    plan(pieces_of(line), grinds="end")
    text = words(draft("job_sheet", "462").draw())
    assert "Work holding" in text
    for part in ("Travel stop", "Primary relief", "Stylus tip", "nut can unscrew"):
        assert part not in text


def card_figure(card, label):
    """The figure of a card whose label begins so."""
    return next(figure for part in card.parts for figure in part.figures if figure.label.startswith(label))


def test_what_differs_from_the_card_is_said_for_the_pieces_it_differs_for(make_batch, look, bench_hand, wheel):
    line = make_batch(4, number=463).lines.get()
    pieces = pieces_of(line)
    for lot, seen in ((pieces[:2], "0.2498 in"), (pieces[2:], "0.2440 in")):
        look(lot, seen, typed={"flute_length": parse("0.75 in"), "damage_depth": parse("0.002 in")})
        [group] = [one for one in group_pieces(line, lot) if one.answer]
        decide(by=bench_hand, pieces=lot, expected={}, decision="grind", chosen=group.answer["recommended"])
    [setup] = draft("job_sheet", "463").values.setups
    card, other = draft("setup_card", "463-1").values.cards
    assert setup.card.title == "1-1, 1-2"
    heights = [card_figure(one, "Stylus tip").length for one in (setup.card, card, other)]
    assert heights[0] == heights[1] != heights[2]
    [difference] = setup.others
    assert difference.startswith("1-3, 1-4: ")
    assert "stylus tip, " in difference
    assert "work holding" not in difference
    text = words(draft("job_sheet", "463").draw())
    assert difference.replace("\u202f", " ") in text
    assert "Grind to, for 1-1, 1-2 " in text
    assert "Stylus tip" in " ".join(setup.differing)
    assert "Work holding, for" not in text


def test_the_change_to_the_next_setup_lists_every_figure_that_differs(make_batch, look, bench_hand, wheel):
    batch = make_batch(1, number=468)
    first = batch.lines.get()
    larger = Family.objects.create(kind="square", nominal_nm=12_700_000, teeth=3, material="carbide")
    [second] = more_lines(batch, larger)
    for line, seen, flute in ((first, "0.2498 in", "0.75 in"), (second, "0.4998 in", "1.25 in")):
        look(pieces_of(line), seen, typed={"flute_length": parse(flute), "damage_depth": parse("0.002 in")})
        [group] = [one for one in group_pieces(line, pieces_of(line)) if one.answer]
        decide(by=bench_hand, pieces=pieces_of(line), expected={}, decision="grind", chosen=group.answer["recommended"])
    one, other = draft("job_sheet", "468").values.setups
    assert one.anew == ""
    assert other.anew.startswith("Change: ")
    listed = other.anew.split("Set anew: ")[1]
    for name in ("grind to ", "stylus tip", "travel stop", "drop to aim for"):
        assert name in listed
    assert "hand right" not in listed  # it stands as it was


def test_an_infeed_prints_as_finely_as_the_bench_s_screen_shows_it(make_batch, look, bench_hand, finish):
    finish(make_batch(1, number=464).lines.get())  # the family's wheel is known from now on
    line = make_batch(1, number=465).lines.get()
    pieces = pieces_of(line)
    look(pieces, typed={"flute_length": parse("0.75 in")})
    [group] = group_pieces(line, pieces)
    decide(by=bench_hand, pieces=pieces, expected={}, decision="grind", chosen=group.answer["recommended"])
    [card] = draft("setup_card", "465-1").values.cards
    assert card_figure(card, "Infeed finishing").text.endswith("of .0001\u202fin")  # whole steps of the dial


def test_what_is_not_ground_has_no_figure_ready_to_grind_to(make_batch, look, bench_hand):
    """A plan that would leave it below the smallest size is why it is not ground, and no figure for the bench."""
    pieces = pieces_of(make_batch(2, number=467).lines.get())
    look(pieces)
    decide(
        by=bench_hand,
        pieces=pieces,
        expected={},
        decision="not_ground",
        result="returned_unground",
        grinds="sides end",
        reason="worn past the smallest size agreed",
        diameter_nm=parse("0.1983 in").nm,
        cut_back_nm=508_000,
        usable_nm=17_000_000,
    )
    sheet = draft("job_sheet", "467")
    [setup] = sheet.values.setups
    [line] = setup.lines
    assert setup.title == "Not to be reground · line 1"
    assert line.section is None
    for piece in line.pieces:
        assert (piece.removal_radial, piece.diameter_after, piece.cut_back, piece.usable_after) == (None,) * 4
        assert piece.diameter_now is not None
    text = words(sheet.draw())
    assert "worn past the smallest size agreed" in text
    assert ".1983" not in text
