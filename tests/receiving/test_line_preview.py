"""What is said is read back field by field, mended, and kept all at once."""

import pytest

from regrind.record.models import Line, Piece

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
    page = counter.read_back(box, "12 x 1/4 3fl blurg stub").content.decode()
    assert "Not understood, saved as a note: <strong>blurg, stub</strong>" in page
    counter.keep(box, "12 x 1/4 3fl blurg stub")
    assert Line.objects.get().note == "blurg stub"


def test_a_bare_whole_size_is_asked_in_one_tap_and_refused_where_nobody_answers(counter, box):
    page = counter.read_back(box, "6 x 8 4fl")
    assert page.context["read"][0].form.questions == [("l0-nominal", "“8” could be 8 mm or 8 in.", ["8 mm", "8 in"])]
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
        ("count", "", "Pieces is needed"),
        ("count", "NaN", "from 1 to 500"),
        ("kind", "spoon", "spoon"),
        ("nominal", "", "needed"),
        ("nominal", "0.2.5", "not a length"),
        ("nominal", "9 m", "not a length"),
        ("nominal", "600 mm", "to 19.6850\u202fin"),
        ("nominal", "1e400 mm", "not a length"),
        ("teeth", "0", "from 1 to 99"),
        ("helix", "80", "from 0° to 70°"),
        ("helix", "steep", "not an angle"),
        ("corner_radius", ".5 in", "half the diameter"),
        ("flute_length", "5 in", "longer than the whole tool"),
        ("overall", "2000 mm", "to 39.3701\u202fin"),
        ("match_tolerance", "1 in", "outside"),
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
    assert Line.objects.get(number=2).note == "HSS-Co"  # nothing is written into a family unless it is chosen


def test_a_line_that_fits_two_new_families_of_its_box_waits_for_the_choice(counter, box):
    answer = counter.keep(box, "12 x 3/8 2fl HSS\n3 x 3/8 2fl carbide\n4 x 3/8 2fl")
    assert answer.status_code == 422
    assert "Two new families of this box" in answer.content.decode()
    assert not Line.objects.exists()
    counter.keep(box, "12 x 3/8 2fl HSS\n3 x 3/8 2fl carbide")
    options = counter.read_back(box, "4 x 3/8 2fl").context["read"][0].form.options
    assert len(options) == 3
