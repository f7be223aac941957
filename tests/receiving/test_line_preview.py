"""What is said is read back field by field, mended, and kept all at once."""

import pytest

from regrind.record.dimension_words import assumed_words
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Batch, Family, Line, Piece

pytestmark = pytest.mark.django_db
INCH = 25_400_000
SAID = "12 x 1/4 3fl carbide 30° AlTiN\n6x 8mm 4 flute\n2 x 1/2 BN"


@pytest.fixture
def box(make_batch):
    return make_batch()


def test_nothing_is_kept_before_it_was_read_back(counter, box):
    page = counter.read_back(box, SAID)
    assert [[fact.figure for fact in line.facts][:3] for line in page.context["read"]] == [
        ["12", "end mill, square", "1/4\u202fin"],
        ["6", "end mill, square", "8\u202fmm"],
        ["2", "end mill, ball", "1/2\u202fin"],
    ]
    assert not Line.objects.exists()


def test_what_nobody_said_is_marked_as_assumed_and_both_units_stand_there(counter, box):
    facts = {fact.label: fact for fact in counter.read_back(box, "1/4 3fl").context["read"][0].facts}
    assert facts["pieces"].assumed
    assert facts["kind"].assumed
    assert (facts["diameter"].figure, facts["diameter"].other) == ("1/4\u202fin", "6.350\u202fmm")


def test_all_lines_are_kept_at_once_and_their_pieces_number_themselves(counter, box):
    answer = counter.keep(box, SAID)
    assert answer.url == f"/receiving/{box.number}/"
    assert [(str(line), line.pieces.count(), line.wording) for line in Line.objects.order_by("number")] == [
        (f"{box.number}-1", 12, "12 x 1/4 3fl carbide 30° AlTiN"),
        (f"{box.number}-2", 6, "6x 8mm 4 flute"),
        (f"{box.number}-3", 2, "2 x 1/2 BN"),
    ]
    assert str(Piece.objects.get(original_line=1, number=12)) == f"{box.number}-1-12"
    family = Line.objects.get(number=1).family
    assert (family.nominal_nm, family.teeth, family.material, family.coating, family.helix_cdeg) == (
        INCH // 4,
        3,
        "carbide",
        "AlTiN",
        3000,
    )
    assert Line.objects.get(number=2).family.nominal_nm == 8_000_000  # exactly 8 mm, for an inch customer too


def test_lengths_pass_through_the_page_without_changing(counter, box):
    counter.keep(box, "8mm CR 0.5 4fl x 20 mm loc")
    family = Line.objects.get().family
    assert (family.nominal_nm, family.corner_radius_nm, family.flute_length_nm) == (8_000_000, 500_000, 20_000_000)


def test_what_was_mended_by_hand_is_what_is_kept(counter, box):
    counter.keep(
        box,
        "12 x 1/4 3fl",
        **{
            "l0-count": "11",
            "l0-coating": "TiN",
            "l0-customer_tool_number": "T-7",
            "l0-matched": "on",
            "l0-match_tolerance": ".0005",
            "l0-note": "worn",
        },
    )
    line = Line.objects.select_related("family").get()
    assert (line.pieces.count(), line.family.coating, line.customer_tool_number) == (11, "TiN", "T-7")
    assert (line.matched, line.match_tolerance_nm, line.note) == (True, 12_700, "worn")


def test_an_echo_keeps_what_was_mended_while_more_is_typed(counter, box):
    page = counter.read_back(box, "12 x 1/4 3fl")
    fields = counter.fields_of(page) | {"l0-coating": "TiN"}
    again = counter.client.post(
        f"/receiving/{box.number}/lines", fields | {"do": "read", "wording": "1 x 1/2 BN\n12 x 1/4 3fl"}
    )
    assert [line.form["coating"].value() for line in again.context["read"]] == ["", "TiN"]


def test_an_echo_by_htmx_is_the_fragment_alone(counter, box):
    answer = counter.client.post(
        f"/receiving/{box.number}/lines", {"wording": "12 x 1/4 3fl", "do": "read"}, headers={"HX-Request": "true"}
    )
    page = answer.content.decode()
    assert "<html" not in page
    assert "Save 1 line" in page


def test_what_was_not_understood_is_named_and_kept_as_a_note(counter, box):
    page = counter.read_back(box, "12 x 1/4 3fl blurg stubby").content.decode()
    assert "Not understood, saved as a note: <strong>blurg, stubby</strong>" in page
    counter.keep(box, "12 x 1/4 3fl blurg stubby", **{"l0-family_choice": "new"})
    assert Line.objects.get().note == "blurg stubby"


def test_a_bare_whole_size_is_asked_in_one_tap_and_refused_where_nobody_answers(counter, box):
    page = counter.read_back(box, "6 x 8 4fl")
    [question] = page.context["read"][0].form.questions
    assert question.text == "“8” could be 8 mm or 8 in."
    assert question.answers == [("8 mm", "l0-nominal=8 mm"), ("8 in", "l0-nominal=8 in")]
    assert 'name="fill" value="l0-nominal=8 mm"' in page.content.decode()
    answer = counter.keep(box, "6 x 8 4fl")
    assert answer.status_code == 422
    assert not Line.objects.exists()
    tapped = counter.client.post(
        f"/receiving/{box.number}/lines", counter.fields_of(page) | {"wording": "6 x 8 4fl", "fill": "l0-nominal=8 mm"}
    )
    assert tapped.context["read"][0].facts[2].figure == "8\u202fmm"
    counter.client.post(
        f"/receiving/{box.number}/lines", counter.fields_of(tapped) | {"wording": "6 x 8 4fl", "do": "save"}
    )
    assert Line.objects.get().family.nominal_nm == 8_000_000


def test_a_half_typed_line_shows_no_error(counter, box):
    page = counter.read_back(box, "12 x 1/").content.decode()
    assert "aria-invalid" not in page
    assert 'class="error"' not in page


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("count", "0", "from 1 to 500"),
        ("count", "501", "from 1 to 500"),
        ("count", "", "Pieces is required"),
        ("count", "NaN", "from 1 to 500"),
        ("kind", "spoon", "spoon"),
        ("nominal", "", "required"),
        ("nominal", "0.2.5", "not a length"),
        ("nominal", "9 m", "not a length"),
        ("nominal", "600 mm", "to 19.6850\u202fin"),
        ("nominal", "1e400 mm", "not a length"),
        ("teeth", "0", "from 1 to 300"),
        ("helix", "80", "from 0° to 70°"),
        ("helix", "steep", "not an angle"),
        ("corner_radius", ".5 in", "half the diameter"),
        ("flute_length", "5 in", "longer than the whole tool"),
        ("overall", "2000 mm", "to 39.3701\u202fin"),
        ("match_tolerance", "1 in", "from"),
        ("matched", "on", "stay matched"),
        ("coating", "x" * 21, "20"),
    ],
)
def test_a_wrong_field_is_said_beside_it_and_no_line_of_the_box_is_kept(counter, box, field, value, message):
    said = "12 x 1/4 3fl 3/4 loc 2-1/2 oal\n2 x 1/2 BN"
    answer = counter.keep(box, said, **{f"l0-{field}": value, "l1-note": "still here"})
    wrong = "match_tolerance" if field == "matched" else field
    errors = answer.context["read"][0].form.errors
    assert answer.status_code == 422
    assert message in " ".join(errors[wrong])
    assert not Line.objects.exists()
    page = answer.content.decode()
    assert "still here" in page
    assert f'id="id_l0-{wrong}_error"' in page


def test_words_changed_after_they_were_read_back_are_read_back_again(counter, box):
    fields = counter.fields_of(counter.read_back(box, "12 x 1/4 3fl"))
    more = "12 x 1/4 3fl\n2 x 1/2 BN"
    answer = counter.client.post(f"/receiving/{box.number}/lines", fields | {"wording": more, "do": "save"})
    assert answer.status_code == 422
    assert "changed after they were read" in answer.context["problem"]
    assert len(answer.context["read"]) == 2
    assert not Line.objects.exists()


def test_keeping_nothing_asks_what_is_in_the_box(counter, box):
    answer = counter.client.post(f"/receiving/{box.number}/lines", {"do": "save", "once": "k"})
    assert answer.status_code == 422
    assert "Write what is in the box first." in answer.content.decode()


def test_the_same_form_sent_twice_keeps_its_lines_once(counter, box):
    page = counter.read_back(box, SAID)
    fields = counter.fields_of(page) | {"wording": SAID, "do": "save"}
    answers = [counter.client.post(f"/receiving/{box.number}/lines", fields) for _ in range(3)]
    assert {answer.url for answer in answers} == {f"/receiving/{box.number}/"}
    assert Line.objects.count() == 3


def test_like_lines_of_one_box_share_one_new_family(counter, box):
    counter.keep(box, "12 x 3/8 2fl\n3 x 3/8 2fl HSS-E\n4 x 3/8 2fl")
    families = {line.family_id for line in Line.objects.all()}
    assert len(families) == 1
    line = Line.objects.get(number=2)  # nothing is written into a family unless it is chosen
    assert (line.family.material, tool_of(line).material, line.note) == ("", "HSS-Co", "")


def test_a_line_never_joins_a_new_family_of_its_box_that_would_add_a_material(counter, box):
    counter.keep(box, "12 x 3/8 2fl HSS\n3 x 3/8 2fl carbide\n4 x 3/8 2fl")
    assert [line.family.material for line in Line.objects.order_by("number")] == ["HSS", "carbide", ""]
    options = counter.read_back(box, "4 x 3/8 2fl").context["read"][0].form.options
    assert len(options) == 4


def test_nothing_is_chosen_first_that_would_add_material_coating_helix_or_index(counter, box):
    make = Family.objects.create
    known = make(kind="square", nominal_nm=INCH // 2, teeth=4, material="carbide", coating="AlTiN", helix_cdeg=4000)
    page = counter.read_back(box, "4 x 1/2 4 flute")
    [line] = page.context["read"]
    assert line.form.chosen == ""
    assert "adds carbide, AlTiN, helix 40°, assumed until confirmed" in page.content.decode()
    assert " checked" not in page.content.decode()
    refused = counter.keep(box, "4 x 1/2 4 flute")
    assert refused.status_code == 422
    assert "Choose a family" in refused.content.decode()
    assert not Line.objects.exists()
    counter.keep(box, "4 x 1/2 4 flute", **{"l0-family_choice": str(known.pk)})
    assert [words for _, words in assumed_words(Line.objects.get())] == ["carbide", "AlTiN", "helix 40°"]


def test_what_is_said_at_the_counter_stays_with_the_line_and_wins(counter, box):
    counter.keep(box, "4 x 1/2 4 flute 3/4 loc var")
    line = Line.objects.get()
    Family.objects.filter(pk=line.family_id).update(flute_length_nm=INCH // 2, unequal_index=False)
    tool = tool_of(Line.objects.get())
    assert (tool.flute_length_nm, tool.unequal_index, line.note) == (INCH * 3 // 4, True, "")


def test_an_assumed_value_is_confirmed_in_one_tap_on_the_lines_page(counter, box, front_desk):
    family = Family.objects.create(kind="square", nominal_nm=INCH // 2, teeth=4, material="carbide", helix_cdeg=4000)
    counter.keep(box, "4 x 1/2 4 flute", **{"l0-family_choice": str(family.pk)})
    line = Line.objects.get()
    page = f"/receiving/line/{line}"
    assert "Confirm helix 40°" in counter.get(page).content.decode()
    answer = counter.post(f"{page}/confirm", page, names="helix_cdeg", next=page)
    assert answer.url == page
    assert [words for _, words in assumed_words(Line.objects.get())] == ["carbide"]


def test_changing_the_kind_states_what_was_changed_and_nothing_else(counter, box):
    family = Family.objects.create(kind="square", nominal_nm=INCH // 2, teeth=4, material="carbide", helix_cdeg=4000)
    counter.keep(box, "4 x 1/2 4 flute", **{"l0-family_choice": str(family.pk)})
    page = f"/receiving/line/{Line.objects.get()}/kind"
    fields = {"kind": "square", "nominal": "1/2 in", "teeth": "4", "material": "HSS", "helix": "40"}
    counter.post(page, **fields, hand_of_cut="right", hand_of_helix="right", family_choice="new")
    line = Line.objects.get()
    assert (tool_of(line).material, line.family == family) == ("HSS", False)
    assert "helix_cdeg" not in line.stated


def test_an_answer_may_fill_several_fields_and_nothing_else(counter, box):
    page = counter.read_back(box, "2 1/2 4fl")
    [question] = page.context["read"][0].form.questions
    assert dict(question.answers)["2 pieces of 1/2 in"] == "l0-count=2&l0-nominal=1/2 in"
    assert counter.keep(box, "2 1/2 4fl").status_code == 422
    fields = counter.fields_of(page) | {"wording": "2 1/2 4fl", "fill": "l0-count=2&l0-nominal=1/2 in&l0-maker=x"}
    tapped = counter.client.post(f"/receiving/{box.number}/lines", fields)
    [line] = tapped.context["read"]
    assert [fact.figure for fact in line.facts][:3] == ["2", "end mill, square", "1/2\u202fin"]
    assert not line.form["maker"].value()
    counter.client.post(
        f"/receiving/{box.number}/lines", counter.fields_of(tapped) | {"wording": "2 1/2 4fl", "do": "save"}
    )
    assert (Line.objects.get().pieces.count(), Line.objects.get().family.nominal_nm) == (2, INCH // 2)


def test_the_total_stands_beside_the_customers_count(counter, make_batch):
    box = make_batch()
    Batch.objects.filter(pk=box.pk).update(their_count=60)
    box.refresh_from_db()
    counter.keep(box, "20 x 5/16 3fl end mill")
    total = counter.read_back(box, "30 x 3/8 4fl end mill\n1/2 4fl end mill 5").context["total"]
    assert (total.pieces, total.before, total.uncounted, total.differs) == (30, 20, 1, -10)


def test_what_is_doubtful_is_marked_and_the_rest_is_not(counter, box):
    read = counter.read_back(box, "3 x 5/16 3fl end mill\n3 x 1/2 4fl blurg\n12 3/4 4fl\n3 x 3/8").context["read"]
    assert [line.doubtful for line in read] == [False, True, True, False]
