"""Mistakes at the counter, mended: another customer's box, a box that never was, a line in the wrong box."""

import pytest

from regrind.bench.models import Plan
from regrind.receiving import actions
from regrind.receiving.actions.lines import next_number
from regrind.record.find import line_or_404, piece_or_404
from regrind.record.models import Batch, Customer, FamilyMonth, Line, OwnerChange, Piece
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event
from regrind.shop.undo import undo

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("sums")]
INCH = 25_400_000


@pytest.fixture
def other(db):
    return Customer.objects.create(name="Ostrand Dies", unit="mm", under_nm=INCH // 100)


def received(owner: Customer) -> int:
    return sum(FamilyMonth.objects.filter(customer=owner).values_list("received", flat=True))


def state() -> list[dict]:
    """Everything that is stored of boxes, lines and pieces."""
    return [list(model.objects.order_by("pk").values()) for model in (Batch, Line, Piece)]


def back(by, kind: str) -> None:
    undo(by=by, done=Event.objects.get(kind=kind))


def without_steps(rows):
    return [
        [{k: v for k, v in row.items() if k not in ("steps_taken", "last_event_id")} for row in some] for some in rows
    ]


class TestAnotherCustomersBox:
    def test_limits_and_counts_follow_and_it_can_be_undone(self, front_desk, bench_hand, make_batch, customer, other):
        box = make_batch(3, number=417)
        line = box.lines.select_related("batch__customer", "family").get()
        before, limit = state(), line.smallest_diameter_nm()
        actions.change_owner(by=front_desk, batch=box, customer=other, reason="label misread")
        line = line_or_404("417-1")
        assert line.batch.customer == other
        assert line.smallest_diameter_nm() == line.family.nominal_nm - INCH // 100 != limit
        assert (received(customer), received(other)) == (0, 3)
        assert line.changes.get().description == f"{customer} → Ostrand Dies. label misread"
        back(bench_hand, "owner changed")
        assert without_steps(state()) == without_steps(before)
        assert (received(customer), received(other)) == (3, 0)
        assert not OwnerChange.objects.exists()

    def test_a_plan_made_before_says_under_whose_limits(self, client, bench_hand, make_batch, customer, other):
        box = make_batch(1, number=417)
        piece = box.pieces.get()
        with event(bench_hand, "planned") as planning:
            Plan.objects.create(event=planning, piece=piece, revision=1, decision="grind", grinds="sides")
        client.force_login(bench_hand)
        told = f"Made under the limits of {customer}."
        assert told not in client.get("/bench/piece/417-1-1").content.decode()
        actions.change_owner(by=bench_hand, batch=box, customer=other, reason="label misread")
        assert told in client.get("/bench/piece/417-1-1").content.decode()
        assert told in client.get("/bench/417-1/").content.decode()
        Piece.objects.filter(pk=piece.pk).update(status="ready_to_grind")
        assert f"Planned under the limits of {customer}." in client.get("/bench/417-1/grind").content.decode()
        with event(bench_hand, "planned") as planning:
            Plan.objects.create(event=planning, piece=piece, revision=2, decision="grind", grinds="sides")
        assert client.get("/bench/piece/417-1-1").content.decode().count(told) == 1
        assert told not in client.get("/bench/417-1/").content.decode()

    @pytest.mark.parametrize(
        "values", [{"status": "left", "result": "ground"}, {"status": "recycled", "result": "scrap"}]
    )
    def test_it_is_refused_where_pieces_went_back(self, front_desk, make_batch, other, values):
        box = make_batch(2)
        with event(front_desk, "test"):
            Piece.objects.filter(batch=box, number=1).update(**values)
        with pytest.raises(Refusal, match="1-1 went back"):
            actions.change_owner(by=front_desk, batch=box, customer=other, reason="x")

    def test_it_is_refused_where_a_tool_is_followed_and_without_a_reason(self, front_desk, make_batch, other):
        box = make_batch(2)
        with pytest.raises(Refusal, match="reason"):
            actions.change_owner(by=front_desk, batch=box, customer=other, reason="")
        actions.give_tags(by=front_desk, pieces=list(box.pieces.filter(number=1)))
        with pytest.raises(Refusal, match="1-1: followed"):
            actions.change_owner(by=front_desk, batch=box, customer=other, reason="x")

    def test_on_the_page(self, counter, make_batch, other):
        make_batch(2, number=417)
        page = "/receiving/417/mend/owner"
        assert counter.post(page, customer=str(other.pk), reason="").status_code == 422
        answer = counter.post(page, customer=str(other.pk), reason="label misread")
        assert answer.url == "/receiving/417/"
        shown = counter.get("/receiving/417/").content.decode()
        assert "Ostrand Dies" in shown
        assert "Box recorded as another customer&#x27;s" in shown


class TestABoxThatNeverWas:
    def test_an_empty_one_keeps_its_number_and_can_be_undone(self, front_desk, bench_hand, make_batch):
        box = make_batch(number=417)
        actions.cancel_batch(by=front_desk, batch=box, reason="logged twice")
        box.refresh_from_db()
        assert (box.cancelled, box.closed, box.number) == ("logged twice", True, 417)
        with pytest.raises(Refusal, match="417 was cancelled"):
            next_number(box)
        assert actions.open_batch(by=front_desk, customer=box.customer).number == 418
        back(bench_hand, "box cancelled")
        box.refresh_from_db()
        assert (box.cancelled, box.closed) == ("", False)

    def test_pieces_that_nothing_happened_to_go_and_come_back(self, front_desk, bench_hand, make_batch, customer):
        box = make_batch(3, 2, number=417)
        before = state()
        actions.cancel_batch(by=front_desk, batch=box, reason="logged twice")
        assert not box.pieces.exists()
        assert received(customer) == 0
        back(bench_hand, "box cancelled")
        assert without_steps(state()) == without_steps(before)
        assert received(customer) == 5
        assert str(piece_or_404("417-2-2")) == "417-2-2"

    def test_one_that_was_worked_on_is_not_cancelled(self, front_desk, make_batch):
        box = make_batch(3)
        actions.name_missing(by=front_desk, pieces=list(box.pieces.filter(number=1)), reason="not in the box")
        with pytest.raises(Refusal, match="Work was recorded"):
            actions.cancel_batch(by=front_desk, batch=box, reason="x")
        assert box.pieces.count() == 3

    def test_on_the_page(self, counter, make_batch):
        make_batch(2, number=417)
        assert counter.post("/receiving/417/mend/cancel", reason="").status_code == 422
        assert counter.post("/receiving/417/mend/cancel", reason="logged twice").url == "/receiving/417/"
        page = counter.get("/receiving/417/").content.decode()
        assert "Cancelled: logged twice" in page
        assert "Box cancelled" in page
        assert counter.keep(Batch.objects.get(), "3 x 5/16 3fl end mill").status_code == 422
        assert "cancelled" in counter.get("/receiving/").content.decode()


class TestALineInTheWrongBox:
    def test_it_takes_the_next_number_and_its_old_one_still_finds_it(self, front_desk, bench_hand, make_batch):
        one, two = make_batch(3, 2, number=417), make_batch(1, number=420)
        before = state()
        line = line_or_404("417-2")
        actions.move_line(by=front_desk, line=line, into=two, reason="wrong box")
        assert (str(line_or_404("417-2")), str(piece_or_404("417-2-2"))) == ("420-2", "420-2-2")
        assert [str(piece) for piece in line.pieces.all()] == ["420-2-1", "420-2-2"]
        assert next_number(one) == 3  # 417-2 stands on tags
        assert (one.pieces.count(), two.pieces.count()) == (3, 3)
        back(bench_hand, "line moved")
        assert without_steps(state()) == without_steps(before)
        assert str(line_or_404("417-2")) == "417-2"

    def test_into_another_customers_box_it_changes_its_owner_too(self, front_desk, make_batch, customer, other):
        make_batch(3, number=417), make_batch(number=420, owner=other)
        actions.move_line(by=front_desk, line=line_or_404("417-1"), into=Batch.objects.get(number=420), reason="x")
        assert OwnerChange.objects.get().was == customer
        assert (received(customer), received(other)) == (0, 3)

    def test_what_cannot_be_moved_is_said(self, front_desk, make_batch):
        one, two = make_batch(3, 2, number=417), make_batch(number=420)
        line = line_or_404("417-1")
        for into, reason, words in ((one, "x", "another batch"), (two, "", "reason")):
            with pytest.raises(Refusal, match=words):
                actions.move_line(by=front_desk, line=line, into=into, reason=reason)
        actions.split_line(by=front_desk, line=line, pieces=list(line.pieces.filter(number=3)))
        with pytest.raises(Refusal, match="1-3: split off"):
            actions.move_line(by=front_desk, line=line, into=two, reason="x")
        actions.cancel_batch(by=front_desk, batch=two, reason="x")
        with pytest.raises(Refusal, match="420 was cancelled"):
            actions.move_line(by=front_desk, line=line_or_404("417-2"), into=two, reason="x")

    def test_on_the_page(self, counter, make_batch):
        make_batch(3, number=417), make_batch(number=420)
        answer = counter.post("/receiving/line/417-1/move", batch="999", reason="x")
        assert "There is no batch 999" in answer.content.decode()
        answer = counter.post("/receiving/line/417-1/move", batch="420", reason="wrong box")
        assert answer.url == "/receiving/line/420-1"
        assert "Line moved to another box" in counter.get("/receiving/line/420-1").content.decode()
        assert counter.get("/receiving/line/417-1").status_code == 200
        assert counter.get("/search", q="417-1-2").url == "/bench/piece/420-1-2"
