"""Families are found, not made twice; told more only deliberately; merged and taken apart again."""

import pytest

from regrind.record.actions import (
    change_family_facts,
    fill_in,
    find_or_make_family,
    fitting_families,
    merge_families,
    take_apart,
)
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Family, FamilyMerge, Line, LineChange, Tool
from regrind.shop.events import Conflict, Refusal

pytestmark = pytest.mark.django_db
QUARTER = 25_400_000 // 4


@pytest.fixture
def plain(db):
    """1/4 in, three flutes: nothing else is known."""
    return Family.objects.create(kind="square", nominal_nm=QUARTER, teeth=3)


def given(**more):
    return {"kind": "square", "nominal_nm": QUARTER, "teeth": 3, **more}


def test_a_property_nobody_gave_never_makes_a_second_family(front_desk, family):
    assert find_or_make_family(by=front_desk, kind="square", nominal_nm=QUARTER) == family
    assert find_or_make_family(by=front_desk, **given(maker="", coating=None)) == family


def test_what_the_family_does_not_know_does_not_make_a_second_one_either(front_desk, plain):
    assert find_or_make_family(by=front_desk, **given(material="carbide", coating="TiN")) == plain
    plain.refresh_from_db()
    assert (plain.material, plain.coating) == ("", "")


def test_an_unknown_is_filled_in_only_when_that_is_asked_for(front_desk, plain):
    find_or_make_family(by=front_desk, fill=True, **given(material="carbide"))
    plain.refresh_from_db()
    assert plain.material == "carbide"


@pytest.mark.parametrize(
    "other",
    [
        {"teeth": 4},
        {"material": "HSS"},
        {"coating": "TiN"},
        {"helix_cdeg": 4500},
        {"nominal_nm": 6_000_000},
        {"kind": "ball"},
        {"hand_of_cut": "left"},
        {"hand_of_helix": "left"},
        {"flute_length_nm": 12_700_000},
        {"nominal_nm": None},
    ],
)
def test_what_contradicts_makes_a_family_of_its_own(front_desk, family, other):
    made = find_or_make_family(by=front_desk, **given(**other))
    assert made != family
    assert all(getattr(made, name) == value for name, value in other.items())


def test_where_several_fit_the_best_known_comes_first(front_desk, family, plain):
    assert fitting_families([given(material="carbide")]) == [[family, plain]]
    assert fitting_families([given()]) == [[plain, family]]


def test_many_lines_ask_for_their_families_in_one_query(family, plain, django_assert_num_queries):
    with django_assert_num_queries(1):
        found = fitting_families([given(), given(kind="ball"), given(material="HSS")])
    assert [len(fits) for fits in found] == [2, 0, 1]


def test_filling_in_what_was_told_differently_meanwhile_is_a_conflict(front_desk, plain):
    Family.objects.filter(pk=plain.pk).update(coating="TiN")
    with pytest.raises(Conflict, match="changed meanwhile"):
        fill_in(by=front_desk, family=plain, properties=given(coating="AlTiN"))


def test_lines_and_tools_go_over_when_two_families_are_one(front_desk, make_batch, family, plain):
    box = make_batch(2, of=plain)
    tool = Tool.objects.create(tag="000000", customer=box.customer, family=plain)
    merge = merge_families(by=front_desk, family=plain, into=family)
    tool.refresh_from_db()
    plain.refresh_from_db()
    assert box.lines.get().family == family == tool.family == plain.merged_into
    assert "family merged" in LineChange.objects.get().description
    assert (merge.by, merge.lines) == (front_desk, f"[{box.lines.get().pk}]")


def test_a_merged_family_is_never_offered_or_found(front_desk, family, plain):
    merge_families(by=front_desk, family=plain, into=family)
    assert fitting_families([given()]) == [[family]]


def test_a_merge_is_taken_apart_again_and_what_was_there_before_stays(front_desk, make_batch, family, plain):
    theirs, ours = make_batch(2, of=plain), make_batch(3)
    merge = merge_families(by=front_desk, family=plain, into=family)
    later = make_batch(1)
    take_apart(by=front_desk, merge=merge)
    plain.refresh_from_db()
    assert plain.merged_into is None
    assert theirs.lines.get().family == plain
    assert ours.lines.get().family == family == later.lines.get().family
    assert not FamilyMerge.objects.exists()
    assert merge.event.undone_by.by == front_desk


def test_a_merge_is_taken_apart_only_once(front_desk, family, plain):
    merge = merge_families(by=front_desk, family=plain, into=family)
    take_apart(by=front_desk, merge=merge)
    with pytest.raises(Refusal, match="already"):
        take_apart(by=front_desk, merge=merge)


def test_families_of_different_kinds_or_the_same_one_are_not_merged(front_desk, family):
    ball = Family.objects.create(kind="ball", nominal_nm=QUARTER)
    with pytest.raises(Refusal, match="different kinds"):
        merge_families(by=front_desk, family=ball, into=family)
    with pytest.raises(Refusal, match="another"):
        merge_families(by=front_desk, family=family, into=family)


def test_a_family_that_was_merged_meanwhile_is_a_conflict(front_desk, family, plain):
    third = Family.objects.create(kind="square", nominal_nm=QUARTER, coating="TiN")
    merge_families(by=front_desk, family=plain, into=family)
    with pytest.raises(Conflict):
        merge_families(by=front_desk, family=plain, into=third)


def test_the_page_offers_what_fits_and_writes_into_it_only_where_that_is_chosen(counter, make_batch, plain, family):
    box = make_batch()
    family.delete()
    options = counter.read_back(box, "12 x 1/4 3fl AlTiN").context["read"][0].form.options
    assert [option.value for option in options] == [f"{plain.pk}", f"{plain.pk}+", "new"]
    counter.keep(box, "12 x 1/4 3fl AlTiN")
    plain.refresh_from_db()
    line = Line.objects.latest("pk")
    assert (plain.coating, line.note, tool_of(line).coating) == ("", "", "AlTiN")
    counter.keep(box, "12 x 1/4 3fl AlTiN", **{"l0-family_choice": f"{plain.pk}+"})
    plain.refresh_from_db()
    assert (plain.coating, Line.objects.latest("pk").family) == ("AlTiN", plain)


def test_the_page_can_make_a_new_family_beside_one_that_fits(counter, make_batch, plain):
    counter.keep(make_batch(), "12 x 1/4 3fl", **{"l0-family_choice": "new"})
    assert Line.objects.get().family != plain


def test_a_family_that_came_to_fit_while_the_page_was_open_is_shown_first(counter, make_batch, family):
    box = make_batch()
    fields = counter.fields_of(counter.read_back(box, "12 x 3/8 2fl"))
    Family.objects.create(kind="square", nominal_nm=9_525_000, teeth=2, coating="TiN")
    answer = counter.client.post(f"/receiving/{box.number}/lines", fields | {"wording": "12 x 3/8 2fl", "do": "save"})
    assert answer.status_code == 422
    assert "Other families fit" in answer.content.decode()
    assert not Line.objects.exists()


def test_a_family_is_told_more_and_the_page_takes_every_length_back_unchanged(counter, family):
    page = counter.get(f"/receiving/families/{family.pk}")
    values = {bound.name: bound.value() for bound in page.context["form"] if bound.value() not in (None, "", False)}
    counter.post(f"/receiving/families/{family.pk}", **values | {"coating": "TiAlN", "overall": "63.5 mm"})
    before = (family.nominal_nm, family.flute_length_nm, family.helix_cdeg)
    family.refresh_from_db()
    assert (family.nominal_nm, family.flute_length_nm, family.helix_cdeg) == before
    assert (family.coating, family.overall_nm) == ("TiAlN", 63_500_000)


def test_merging_on_the_page_and_taking_apart(counter, family, plain):
    where = f"/receiving/families/{plain.pk}"
    answer = counter.post(f"{where}/merge", where, into=family.pk)
    assert answer.url == f"/receiving/families/{family.pk}"
    merge = FamilyMerge.objects.get()
    counter.post(f"/receiving/merges/{merge.pk}/take-apart", f"/receiving/families/{family.pk}")
    plain.refresh_from_db()
    assert plain.merged_into is None


@pytest.mark.parametrize("into", ["", "999999", "x"])
def test_a_merge_into_nothing_is_refused_beside_the_choice(counter, family, plain, into):
    where = f"/receiving/families/{plain.pk}"
    answer = counter.post(f"{where}/merge", where, into=into)
    assert answer.status_code == 422
    assert answer.context["merging"].errors["into"]
    assert not FamilyMerge.objects.exists()


def test_a_family_told_nonsense_keeps_what_it_was(counter, family):
    answer = counter.post(f"/receiving/families/{family.pk}", kind="square", nominal="1/4 in", teeth="400")
    assert answer.status_code == 422
    assert "from 1 to 300" in answer.context["form"].errors["teeth"][0]
    family.refresh_from_db()
    assert family.teeth == 3


def test_the_geometry_when_new_is_written_and_checked(counter, family):
    page = counter.get(f"/receiving/families/{family.pk}")
    values = {bound.name: bound.value() for bound in page.context["form"] if bound.value() not in (None, "", False)}
    wrong = counter.post(
        f"/receiving/families/{family.pk}",
        **values | {"core": ".3", "primary_relief": "12", "secondary_relief": "6", "rake": "44"},
    )
    assert wrong.status_code == 422
    assert {"core", "secondary_relief", "rake"} <= set(wrong.context["form"].errors)
    counter.post(f"/receiving/families/{family.pk}", **values | {"core": ".140", "rake": "-4.5"})
    family.refresh_from_db()
    assert (family.core_nm, family.rake_cdeg, family.primary_relief_cdeg) == (3_556_000, -450, None)


def test_facts_can_be_forgotten(front_desk, family):
    change_family_facts(by=front_desk, family=family, coating="")
    family.refresh_from_db()
    assert family.coating == ""
