"""What a line states wins over its family; what the family adds is assumed until somebody confirms it."""

import pytest

from regrind.receiving.actions import confirm_dimensions, log_line
from regrind.record.dimension_words import assumed_words
from regrind.record.line_dimensions import line_dimensions, tool_of
from regrind.record.models import Family
from regrind.shop.events import Conflict, Refusal

pytestmark = pytest.mark.django_db
INCH = 25_400_000


@pytest.fixture
def coated():
    """A family of half-inch end mills of which everything is known."""
    return Family.objects.create(
        kind="square",
        nominal_nm=INCH // 2,
        teeth=4,
        material="carbide",
        coating="AlTiN",
        helix_cdeg=4000,
        flute_length_nm=INCH // 2,
    )


@pytest.fixture
def line(front_desk, make_batch, coated):
    stated = {"nominal_nm": INCH // 2, "teeth": 4, "flute_length_nm": INCH * 3 // 4, "unequal_index": True}
    return log_line(by=front_desk, batch=make_batch(), family=coated, count=4, stated=stated)


def test_each_value_of_a_line_has_its_source(line):
    assert {name: (row.value, row.source) for name, row in line_dimensions(line).items()} == {
        "nominal_nm": (INCH // 2, "stated"),
        "teeth": (4, "stated"),
        "material": ("carbide", "assumed"),
        "coating": ("AlTiN", "assumed"),
        "helix_cdeg": (4000, "assumed"),
        "flute_length_nm": (INCH * 3 // 4, "stated"),
        "unequal_index": (True, "stated"),
    }


def test_what_the_line_states_wins_over_its_family_and_what_is_only_assumed_can_be_left_out(line, coated):
    tool, sure = tool_of(line), tool_of(line, with_assumed=False)
    assert (tool.flute_length_nm, tool.unequal_index, tool.material) == (INCH * 3 // 4, True, "carbide")
    assert (sure.flute_length_nm, sure.material, sure.coating, sure.helix_cdeg) == (INCH * 3 // 4, "", "", None)
    coated.refresh_from_db()
    assert (coated.flute_length_nm, coated.unequal_index) == (INCH // 2, False)


def test_a_confirmed_value_stays_as_it_was_confirmed_whatever_becomes_of_the_family(line, front_desk, coated):
    assert [words for _, words in assumed_words(line)] == ["carbide", "AlTiN", "helix 40°"]
    confirm_dimensions(by=front_desk, line=line, names=["material", "helix_cdeg"])
    Family.objects.filter(pk=coated.pk).update(helix_cdeg=3000)
    line.refresh_from_db()
    assert [words for _, words in assumed_words(line)] == ["AlTiN"]
    assert line_dimensions(line)["helix_cdeg"].value == 4000
    assert line_dimensions(line)["helix_cdeg"].source_words == "confirmed"


@pytest.mark.parametrize("names", [[], ["teeth"], ["material", "nonsense"]])
def test_only_what_is_assumed_can_be_confirmed(line, front_desk, names):
    with pytest.raises(Refusal):
        confirm_dimensions(by=front_desk, line=line, names=names)


def test_two_who_confirm_at_once_do_not_undo_each_other(line, front_desk):
    other = type(line).objects.select_related("family").get(pk=line.pk)
    confirm_dimensions(by=front_desk, line=line, names=["material"])
    with pytest.raises(Conflict):
        confirm_dimensions(by=front_desk, line=other, names=["coating"])


def test_a_line_whose_family_was_chosen_as_a_whole_assumes_nothing(front_desk, make_batch, coated):
    line = log_line(by=front_desk, batch=make_batch(), family=coated, count=1)
    assert {row.source for row in line_dimensions(line).values()} == {"stated"}
    assert assumed_words(line) == []
