"""Papers tell a customer what was stated, confirmed or measured; the shop's own name what is only assumed as such."""

import re

import pytest

from regrind.bench.models import FinalCheck
from regrind.office.actions import send_parcel
from regrind.office.issuing import draft
from regrind.receiving.actions import confirm_dimensions, log_line
from regrind.record.models import Family, Line
from regrind.shop.events import Refusal

from .conftest import pieces_of, words

pytestmark = pytest.mark.django_db
INCH = 25_400_000
ADDED = ("carbide", "AlTiN", "40°")
WAYS = {"tangent": "along tangent", "land": "along land", "arc": "turned", "traversed": "traversed"}


def said(kind, number) -> str:
    return words(draft(kind, number).draw())


@pytest.fixture
def line(make_batch, front_desk) -> Line:
    """Two quarter-inch cutters of which the counter said no more than size and flutes; their family knows it all."""
    family = Family.objects.create(
        kind="square", nominal_nm=INCH // 4, teeth=3, material="carbide", coating="AlTiN", helix_cdeg=4000
    )
    stated = {"nominal_nm": INCH // 4, "teeth": 3}
    return log_line(by=front_desk, batch=make_batch(number=470), family=family, count=2, stated=stated)


def test_what_goes_out_names_nothing_that_is_only_assumed(line, finish, front_desk):
    assert not any(word in said("tag", "470-1") for word in ADDED)
    finish(line)
    send_parcel(by=front_desk, batch=line.batch, pieces=pieces_of(line))
    for kind, number in (("label", "470-1"), ("slip", "470/1"), ("report", "470")):
        paper = said(kind, number)
        assert not any(word in paper for word in ADDED), (kind, paper)
        assert "ground off on the flank" not in paper


def test_the_shops_own_papers_name_it_as_assumed(line, look):
    look(pieces_of(line))
    assert "(assumed: carbide, AlTiN, helix 40°)" in said("job_sheet", "470")


def test_what_was_confirmed_goes_out(line, finish, front_desk):
    confirm_dimensions(by=front_desk, line=line, names=["material", "coating"])
    finish(line)
    assert "carbide" in said("label", "470-1")
    assert "ground off on the flank" in said("label", "470-1")


def test_the_teeth_that_were_counted_go_before_those_of_the_family(make_batch, front_desk, look, finish):
    family = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3)
    stated = {"nominal_nm": INCH // 4}
    line = log_line(by=front_desk, batch=make_batch(number=471), family=family, count=1, stated=stated)
    finish(line)
    [label] = draft("label", "471-1").values
    assert label.teeth is None  # nobody counted them, and the family's are only assumed


@pytest.mark.parametrize("way", list(WAYS))
def test_label_and_report_say_how_the_distance_of_the_drop_was_taken(make_batch, finish, way):
    """3 to 4 degrees lie between the ways on a tool of 6 mm: a drop without its way is no figure."""
    finish(make_batch(1, number=472).lines.get(), drop_way=way)
    assert re.search(rf"Drop \.0025 in( \(0\.064 mm\))? at \.0200 in {WAYS[way]}", said("label", "472-1"))
    assert WAYS[way] in said("report", "472")
    assert FinalCheck.objects.get().drop_way == way


def test_a_drop_without_its_way_is_not_taken(make_batch, finish):
    with pytest.raises(Refusal, match="how the distance"):
        finish(make_batch(1, number=473).lines.get(), drop_way="")
