"""The line's pages: each deed with its wrong inputs, and a form that is sent again after its answer was lost."""

import re

import pytest

from regrind.receiving.family_forms import FactsForm
from regrind.record.kinds import KINDS
from regrind.record.models import Family, Line, LineChange, Piece, Tool

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(4, 2, number=417).lines.get(number=1)


def pks(line: Line, *numbers: int) -> list[int]:
    return list(line.pieces.filter(number__in=numbers).order_by("number").values_list("pk", flat=True))


def do(counter, what: str, **fields):
    return counter.post(f"/receiving/line/417-1/{what}", **fields)


GOOD = [
    ("missing", {"pieces": [1, 2], "reason": "not in the box"}),
    ("tags", {"pieces": [1, 2]}),
    ("marks", {"pieces": [1, 2], "here": "1", "elsewhere": "1"}),
    ("split", {"pieces": [1, 2], "reason": "worse"}),
    ("recount", {"count": "3", "reason": "counted wrong"}),
    ("change", {"customer_tool_number": "T-9", "check_every": "3", "tolerance": ".001", "smallest": ".230"}),
]


@pytest.mark.parametrize(("what", "fields"), GOOD)
def test_a_deed_is_done_and_leads_back_to_the_line(counter, line, what, fields):
    answer = do(counter, what, **_with_pieces(line, fields))
    assert (answer.status_code, answer.url) == (302, "/receiving/line/417-1")
    assert counter.get("/receiving/line/417-1").status_code == 200


@pytest.mark.parametrize(("what", "fields"), GOOD)
def test_a_deed_sent_again_after_its_answer_was_lost_leads_to_the_same_place(counter, line, what, fields):
    fields = _with_pieces(line, fields) | {"once": "the-one-key"}
    answers = [counter.client.post(f"/receiving/line/417-1/{what}", fields) for _ in range(3)]
    assert [(a.status_code, a.url) for a in answers] == [(302, "/receiving/line/417-1")] * 3
    assert Line.objects.count() == (3 if what == "split" else 2)
    assert Tool.objects.count() == (2 if what == "tags" else 0)


def _with_pieces(line, fields):
    return fields | ({"pieces": pks(line, *fields["pieces"])} if "pieces" in fields else {})


@pytest.mark.parametrize(
    ("what", "fields", "field", "message"),
    [
        ("missing", {"reason": "lost"}, "pieces", "at least one piece"),
        ("missing", {"pieces": [1]}, "reason", "required"),
        ("missing", {"pieces": [99999], "reason": "lost"}, "pieces", "no longer"),
        ("found", {"pieces": [1]}, "pieces", "does not fit it"),
        ("tags", {}, "pieces", "at least one piece"),
        ("tags", {"pieces": [1, 2], "customer_number": "T-1"}, None, "one piece"),
        ("marks", {"pieces": [1], "here": "51", "elsewhere": "0"}, "here", "from 0 to 50"),
        ("marks", {"pieces": [1], "here": "two", "elsewhere": "0"}, "here", "from 0 to 50"),
        ("split", {"pieces": [1, 2, 3, 4]}, None, "not none and not all"),
        ("merge", {}, "into", "required"),
        ("merge", {"into": "99999"}, "into", "another line of this batch"),
        ("recount", {"count": "501", "reason": "x"}, "count", "from 0 to 500"),
        ("recount", {"count": "4", "reason": "x"}, None, "already"),
        ("recount", {"count": "3"}, "reason", "required"),
        ("change", {"tolerance": "5", "check_every": "3"}, "tolerance", "needs a unit"),
        ("change", {"tolerance": ".0005", "check_every": "0"}, "check_every", "from 1 to 500"),
        ("change", {"tolerance": ".0005", "check_every": "5", "matched": "on"}, "match_tolerance", "stay matched"),
        ("change", {"tolerance": "", "check_every": "5"}, "tolerance", "required"),
        ("set_aside", {}, None, "more than ten minutes"),
    ],
)
def test_what_does_not_fit_is_said_beside_its_field_and_nothing_is_done(counter, line, what, fields, field, message):
    if "pieces" in fields:
        fields = fields | {"pieces": pks(line, *fields["pieces"]) or fields["pieces"]}
    answer = do(counter, what, **fields)
    form = answer.context["form"]
    errors = form.errors[field] if field else form.non_field_errors()
    assert answer.status_code == 422
    assert message in " ".join(errors)
    assert not LineChange.objects.exists()
    assert not Piece.objects.exclude(status="arrived", tool=None, before_here=None).exists()
    typed = [str(value) for name, value in fields.items() if name not in ("pieces", "into")]
    assert all(text in answer.content.decode() for text in typed)


def test_the_pieces_ticked_on_the_line_come_ticked_to_the_deed(counter, line):
    page = counter.get("/receiving/line/417-1/missing", pieces=pks(line, 2, 3)).context["form"]
    assert [int(box.data["value"]) for box in page["pieces"] if box.data["selected"]] == pks(line, 2, 3)


def test_missing_and_found_again_by_the_pages(counter, line):
    do(counter, "missing", pieces=pks(line, 2), reason="not in the box")
    assert "not in the box" in counter.get("/receiving/line/417-1").content.decode()
    do(counter, "found", pieces=pks(line, 2))
    assert line.pieces.get(number=2).status == "arrived"


def test_merging_by_the_page(counter, line):
    do(counter, "merge", into=Line.objects.get(number=2).pk)
    assert Line.objects.get(number=2).pieces.count() == 6
    page = counter.get("/receiving/417/").content.decode()
    assert "Empty lines" in page


def test_the_unit_of_a_bare_whole_number_is_remembered_for_the_field_and_line(counter, line):
    do(counter, "change", tolerance="5 tenths", check_every="5")
    do(counter, "change", tolerance="3", check_every="5")
    line.refresh_from_db()
    assert line.tolerance_nm == 7_620


def test_the_lines_own_values_pass_through_its_page_unchanged(counter, line):
    Line.objects.filter(pk=line.pk).update(smallest_nm=6_123_457, shortest_nm=12_700_000, tolerance_nm=5_000)
    page = counter.get("/receiving/line/417-1/change").context["form"]
    values = {bound.name: bound.value() for bound in page if bound.value() not in (None, "", False)}
    do(counter, "change", **values)
    line.refresh_from_db()
    assert (line.smallest_nm, line.shortest_nm, line.tolerance_nm) == (6_123_457, 12_700_000, 5_000)


@pytest.mark.parametrize("what", ["known", "complaint"])
@pytest.mark.parametrize("numbers", [(), (1, 2)])
def test_a_page_about_one_piece_asks_for_the_one(counter, line, what, numbers):
    answer = counter.get(f"/receiving/line/417-1/{what}", pieces=pks(line, *numbers))
    assert answer.status_code == 422
    assert "Tick one piece" in answer.content.decode()


def test_a_page_about_one_piece_opens_for_it(counter, line):
    answer = counter.get("/receiving/line/417-1/known", pieces=pks(line, 3))
    assert answer.url == "/receiving/piece/417-1-3/known"


@pytest.mark.parametrize(
    "where",
    [
        "line/417-9",
        "line/417",
        "line/417-1/nonsense",
        "line/417-9/missing",
        "line/x/kind",
        "piece/417-1-99/known",
        "piece/417-1/complaint",
        "customers/999",
        "families/999",
    ],
)
def test_what_does_not_exist_is_not_found(counter, line, where):
    assert counter.get(f"/receiving/{where}").status_code == 404


def test_the_kind_changes_by_its_page_and_a_new_family_is_made(counter, line):
    answer = counter.post("/receiving/line/417-1/kind", kind="ball", nominal="1/4 in", teeth="2", do="keep")
    assert answer.status_code == 302
    line.refresh_from_db()
    assert (line.family.kind, line.family.teeth) == ("ball", 2)
    assert LineChange.objects.get().kind == "kind"


def test_where_several_families_fit_the_kinds_page_offers_the_choice(counter, line, family):
    other = type(family).objects.create(kind="square", nominal_nm=family.nominal_nm, teeth=3, coating="TiN")
    answer = counter.post("/receiving/line/417-1/kind", kind="square", nominal="1/4 in", do="keep")
    assert answer.status_code == 422
    values = [option.value for option in answer.context["form"].options]
    assert values == [str(other.pk), str(family.pk), "new"]
    counter.post(
        "/receiving/line/417-1/kind",
        kind="square",
        nominal="1/4 in",
        do="keep",
        offered=answer.context["form"].offered_now(),
        family_choice=other.pk,
    )
    line.refresh_from_db()
    assert line.family == other


def test_a_kind_that_makes_no_sense_changes_nothing(counter, line):
    answer = counter.post("/receiving/line/417-1/kind", kind="ball", nominal="", do="keep")
    assert answer.status_code == 422
    assert "diameter is required" in answer.context["form"].errors["nominal"][0]
    assert not LineChange.objects.exists()


@pytest.mark.parametrize(
    ("kind", "asked", "not_asked"),
    [
        ("tap", {"thread", "tap_flutes", "shank"}, {"corner_radius", "point_angle", "helix", "unequal_index"}),
        ("saw", {"nominal", "teeth"}, {"corner_radius", "flute_length", "hand_of_cut", "thread", "helix"}),
        ("drill", {"point_angle", "helix"}, {"corner_radius", "thread", "unequal_index"}),
        ("chamfer", {"point_angle"}, {"corner_radius", "helix", "thread"}),
        ("reamer", {"flute_length", "unequal_index"}, {"corner_radius", "point_angle", "thread"}),
        ("square", {"helix", "flute_length"}, {"corner_radius", "point_angle", "thread", "tap_flutes"}),
    ],
)
def test_the_page_of_a_lines_kind_asks_what_such_tools_have(counter, line, kind, asked, not_asked):
    Family.objects.filter(pk=line.family_id).update(kind=kind, helix_cdeg=None, flute_length_nm=None)
    page = counter.get("/receiving/line/417-1/kind")
    shown = {field.bound.name for field in page.context["form"].shown_properties if field.shown}
    assert asked <= shown
    assert not not_asked & shown
    assert len(re.findall(r'<div class="of-kind"[^>]*hidden>', page.content.decode())) >= len(not_asked)


def test_a_value_that_stands_is_shown_though_such_tools_have_none(counter, line):
    Family.objects.filter(pk=line.family_id).update(kind="saw", helix_cdeg=1200)
    shown = counter.get("/receiving/line/417-1/kind").context["form"].shown_properties
    assert [field.shown for field in shown if field.bound.name == "helix"] == [True]


def test_each_kind_of_tool_says_what_is_asked_of_it():
    for kind in KINDS.values():
        assert kind.properties, kind.code
        assert set(kind.properties) <= set(FactsForm.base_fields), kind.code
