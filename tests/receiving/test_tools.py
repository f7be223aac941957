"""Pieces known again: by tag, by their number, picked, or by the marks on the shank; and complaints."""

import pytest

from regrind.receiving import actions
from regrind.receiving.tool_matching import earlier_pieces, find_tool, fitting_tools
from regrind.record.models import Batch, Customer, Piece, Tool
from regrind.record.moves import move
from regrind.record.tags import check_sign, read_tag
from regrind.shop.events import Conflict, Refusal

pytestmark = pytest.mark.django_db


def pieces_of(box: Batch) -> list[Piece]:
    return list(Piece.objects.filter(batch=box).select_related("batch__customer", "line__family", "tool"))


@pytest.fixture
def gone_back(make_batch, bench_hand, front_desk):
    """Four pieces that were ground here and went back, the first two with life tags."""
    pieces = pieces_of(make_batch(4, number=391))
    actions.give_tags(by=front_desk, pieces=pieces[:2])
    for to in ("inspected", "ready_to_grind", "ground"):
        move(pieces=pieces, to=to, by=bench_hand)
    move(pieces=pieces, to="released", by=bench_hand, result="ground")
    move(pieces=pieces, to="left", by=front_desk)
    Tool.objects.filter(pk=pieces[0].tool_id).update(last_diameter_nm=6_300_000)
    Tool.objects.filter(pk=pieces[1].tool_id).update(last_diameter_nm=6_100_000, customer_number="T-77")
    return pieces_of(pieces[0].batch)


@pytest.fixture
def piece(gone_back, make_batch):
    return pieces_of(make_batch(3, number=417))[0]


def test_life_tags_are_unique_carry_a_check_character_and_no_letter_that_looks_like_a_digit(front_desk, make_batch):
    tools = actions.give_tags(by=front_desk, pieces=pieces_of(make_batch(40)))
    tags = [tool.tag for tool in tools]
    assert len(set(tags)) == 40
    assert all(read_tag(tag) == tag for tag in tags)
    assert not set("".join(tags)) & set("BIOQSZV01")


@pytest.mark.parametrize("letter", ["O", "o", "Q"])
def test_a_letter_that_looks_like_a_digit_is_read_as_the_digit(letter):
    body = "G0UC1"
    tag = body + check_sign(body)
    assert read_tag(tag.replace("0", letter).replace("1", "I")) == tag


def test_a_tag_is_given_once(front_desk, make_batch):
    pieces = pieces_of(make_batch(2))
    actions.give_tags(by=front_desk, pieces=pieces[:1])
    with pytest.raises(Refusal, match="has a life tag already"):
        actions.give_tags(by=front_desk, pieces=pieces)
    assert Tool.objects.count() == 1


def test_two_tablets_giving_one_piece_a_tag_meet_a_conflict(front_desk, make_batch):
    box = make_batch(1)
    mine, theirs = pieces_of(box), pieces_of(box)
    actions.give_tags(by=front_desk, pieces=theirs)
    with pytest.raises(Conflict, match="meanwhile"):
        actions.give_tags(by=front_desk, pieces=mine)
    assert Tool.objects.count() == 1


def test_a_known_tool_brings_its_regrinds_along(front_desk, piece, gone_back):
    actions.follow(by=front_desk, piece=piece, tool=gone_back[0].tool)
    piece.refresh_from_db()
    assert (piece.tool, piece.before_here, piece.before_elsewhere) == (gone_back[0].tool, 1, 0)


def test_marks_on_the_shank_count_more_than_what_is_known(front_desk, piece, gone_back):
    tool = actions.follow(by=front_desk, piece=piece, tool=gone_back[0].tool, here=1, elsewhere=2)
    piece.refresh_from_db()
    tool.refresh_from_db()
    assert (piece.before_here, piece.before_elsewhere, tool.regrinds_elsewhere) == (1, 2, 2)


def test_marks_of_untagged_pieces_are_kept(front_desk, make_batch):
    pieces = pieces_of(make_batch(2))
    actions.count_marks(by=front_desk, pieces=pieces, here=1, elsewhere=1)
    assert set(Piece.objects.values_list("before_here", "before_elsewhere")) == {(1, 1)}
    with pytest.raises(Refusal, match="0 to 50"):
        actions.count_marks(by=front_desk, pieces=pieces, here=51, elsewhere=0)


def test_the_tools_that_fit_are_of_the_family_and_no_smaller_than_today(piece, gone_back):
    tools = [row.tool for row in fitting_tools(piece.line)]
    assert tools == [gone_back[1].tool, gone_back[0].tool]
    assert [row.tool for row in fitting_tools(piece.line, 6_200_000)] == [gone_back[0].tool]
    assert fitting_tools(piece.line, 6_350_000) == []
    assert str(fitting_tools(piece.line)[0].last) == "391-1-2"


def test_another_customers_tools_and_families_are_not_offered(front_desk, gone_back, make_batch):
    stranger = Customer.objects.create(name="Elsewhere", unit="mm")
    other = pieces_of(make_batch(1, owner=stranger))[0]
    assert fitting_tools(other.line) == []
    assert find_tool(stranger, gone_back[0].tool.tag) is None
    with pytest.raises(Refusal, match="another customer's"):
        actions.follow(by=front_desk, piece=other, tool=gone_back[0].tool)


def test_a_tool_stands_only_once_in_a_box(front_desk, piece, gone_back):
    actions.follow(by=front_desk, piece=piece, tool=gone_back[0].tool)
    second = pieces_of(piece.batch)[1]
    assert gone_back[0].tool not in [row.tool for row in fitting_tools(second.line)]
    with pytest.raises(Refusal, match="in this box already"):
        actions.follow(by=front_desk, piece=second, tool=gone_back[0].tool)


def test_a_tag_of_another_family_is_refused_saying_what_both_are(front_desk, piece, gone_back):
    ball = type(piece.line.family).objects.create(kind="ball", nominal_nm=6_350_000)
    Tool.objects.filter(pk=gone_back[0].tool_id).update(family=ball)
    with pytest.raises(Refusal, match="end mill, ball; this line says"):
        actions.follow(by=front_desk, piece=piece, tool=Tool.objects.get(pk=gone_back[0].tool_id))


def test_a_tool_is_found_by_tag_in_any_writing_or_by_their_number(piece, gone_back):
    tag = gone_back[0].tool.tag
    customer = piece.batch.customer
    assert find_tool(customer, f" {tag[:3].lower()} {tag[3:].lower()} ") == gone_back[0].tool
    assert find_tool(customer, "t-77") == gone_back[1].tool
    assert find_tool(customer, "T-78") is None


def test_their_number_on_two_tools_names_neither(piece, gone_back):
    Tool.objects.update(customer_number="T-77")
    assert find_tool(piece.batch.customer, "T-77") is None


def test_what_was_known_wrongly_is_unknown_again(front_desk, piece, gone_back):
    actions.follow(by=front_desk, piece=piece, tool=gone_back[0].tool)
    actions.forget_tool(by=front_desk, piece=piece)
    piece.refresh_from_db()
    assert (piece.tool, piece.before_here) == (None, None)
    assert gone_back[0].tool.visits.count() == 1


def test_a_complaint_is_linked_to_its_last_visit_and_is_the_same_tool(front_desk, piece, gone_back):
    actions.complain(by=front_desk, piece=piece, earlier=gone_back[0], reason="chips at once")
    piece.refresh_from_db()
    assert (piece.complaint_of, piece.complaint, piece.tool) == (gone_back[0], "chips at once", gone_back[0].tool)
    assert (piece.before_here, piece.before_elsewhere) == (1, 0)


def test_a_complaint_is_taken_back(front_desk, piece, gone_back):
    actions.complain(by=front_desk, piece=piece, earlier=gone_back[2], reason="chips")
    piece.refresh_from_db()
    actions.withdraw_complaint(by=front_desk, piece=piece)
    piece.refresh_from_db()
    assert (piece.complaint_of, piece.complaint) == (None, "")


def test_a_complaint_is_about_an_earlier_visit_that_went_back_and_only_once(front_desk, piece, gone_back, make_batch):
    here = pieces_of(make_batch(1))[0]
    stranger = pieces_of(make_batch(1, owner=Customer.objects.create(name="Elsewhere")))[0]
    second = pieces_of(piece.batch)[1]
    for of, words in ((second, "earlier visit"), (stranger, "this customer"), (here, "was not returned")):
        with pytest.raises(Refusal, match=words):
            actions.complain(by=front_desk, piece=piece, earlier=of, reason="x")
    with pytest.raises(Refusal, match="what is wrong"):
        actions.complain(by=front_desk, piece=piece, earlier=gone_back[0], reason="")
    actions.complain(by=front_desk, piece=piece, earlier=gone_back[0], reason="x")
    with pytest.raises(Refusal, match="already"):
        actions.complain(by=front_desk, piece=second, earlier=gone_back[0], reason="x")


def test_the_pieces_that_may_have_come_again_start_with_the_same_tool(front_desk, piece, gone_back):
    actions.follow(by=front_desk, piece=piece, tool=gone_back[1].tool)
    assert [str(p) for p in earlier_pieces(piece)] == ["391-1-2", "391-1-1", "391-1-3", "391-1-4"]


KNOWN, COMPLAINT = "/receiving/piece/417-1-1/known", "/receiving/piece/417-1-1/complaint"


def test_a_tool_is_picked_on_the_page(counter, piece, gone_back):
    answer = counter.post(KNOWN, tool=gone_back[0].tool_id, elsewhere="1")
    piece.refresh_from_db()
    assert answer.url == "/receiving/line/417-1"
    assert (piece.tool, piece.before_here, piece.before_elsewhere) == (gone_back[0].tool, 1, 1)
    assert gone_back[0].tool.tag in counter.get("/receiving/line/417-1").content.decode()
    counter.post("/receiving/piece/417-1-1/forget", KNOWN)
    piece.refresh_from_db()
    assert piece.tool is None


def test_a_tool_is_recognised_by_its_tag_on_the_page(counter, piece, gone_back):
    counter.post(KNOWN, typed=gone_back[1].tool.tag.lower())
    piece.refresh_from_db()
    assert piece.tool == gone_back[1].tool


def test_todays_diameter_leaves_out_tools_that_were_smaller(counter, piece, gone_back):
    page = counter.get(KNOWN, now=".2441")  # 6.200 mm
    assert [row.tool for row, *_ in page.context["form"].rows()] == [gone_back[0].tool]
    wrong = counter.get(KNOWN, now="0.2.5")
    assert wrong.status_code == 422
    assert "not a length" in wrong.content.decode()


def test_a_misread_tag_is_told_from_an_unknown_one(counter, piece, gone_back):
    tag = gone_back[0].tool.tag
    misread = ("1" if tag[0] != "1" else "2") + tag[1:]
    answer = counter.post(KNOWN, typed=misread)
    assert answer.status_code == 422
    assert "check character does not fit" in answer.context["form"].errors["typed"][0]
    assert misread in answer.content.decode()


@pytest.mark.parametrize(
    ("fields", "field", "message"),
    [
        ({}, "typed", "pick one"),
        ({"typed": "nothing"}, "typed", "six characters"),
        ({"tool": "99999"}, "tool", "no longer"),
        ({"typed": "T-77", "here": "99"}, "here", "from 0 to 50"),
    ],
)
def test_a_tool_that_is_not_there_is_refused_beside_its_field(counter, piece, fields, field, message):
    answer = counter.post(KNOWN, **fields)
    piece.refresh_from_db()
    assert answer.status_code == 422
    assert message in " ".join(answer.context["form"].errors[field])
    assert piece.tool is None


def test_a_complaint_by_its_page_picked_or_by_number(counter, piece, gone_back):
    counter.post(COMPLAINT, pick=gone_back[2].pk, reason="chips")
    piece.refresh_from_db()
    assert piece.complaint_of == gone_back[2]
    counter.post("/receiving/piece/417-1-1/withdraw", COMPLAINT)
    counter.post(COMPLAINT, earlier="391-1-4", reason="too short")
    piece.refresh_from_db()
    assert (piece.complaint_of, piece.complaint) == (gone_back[3], "too short")
    assert "no charge" in counter.get("/receiving/line/417-1").content.decode()


@pytest.mark.parametrize(
    ("fields", "field", "message"),
    [
        ({"reason": "x"}, "earlier", "pick one"),
        ({"earlier": "391-1-1"}, "reason", "required"),
        ({"earlier": "391-1-99", "reason": "x"}, "earlier", "no piece"),
        ({"earlier": "tube 4", "reason": "x"}, "earlier", "391-2-4"),
        ({"pick": "99999", "reason": "x"}, "pick", "no longer"),
    ],
)
def test_a_complaint_about_nothing_is_refused_beside_its_field(counter, piece, fields, field, message):
    answer = counter.post(COMPLAINT, **fields)
    piece.refresh_from_db()
    assert answer.status_code == 422
    assert message in " ".join(answer.context["form"].errors[field])
    assert piece.complaint_of is None
