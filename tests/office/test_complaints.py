"""A complaint stays on Today until it ends, stands on the earlier piece and box, and is counted by its cause."""

import pytest

from regrind.office.actions import send_parcel, set_prices
from regrind.office.charges import bill
from regrind.office.complaints.actions import end_complaint
from regrind.receiving.actions import complain
from regrind.record.complaints import open_complaints
from regrind.record.models import ComplaintEnd, Piece
from regrind.review.complaint_causes import count_causes
from regrind.review.filters import ReviewFilter
from regrind.shop.events import Refusal
from regrind.shop.undo import undo

from .conftest import pieces_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def came_back(make_batch, finish, front_desk):
    """came_back(2) -> so many pieces that came back as complaints about batch 417, in batch 418 with 7.50 a piece."""

    def make(count=1) -> list[Piece]:
        earlier = finish(make_batch(count, number=417).lines.get())
        send_parcel(by=front_desk, batch=earlier[0].batch, pieces=earlier)
        line = make_batch(count, number=418).lines.get()
        set_prices(by=front_desk, prices={line: 750})
        for piece, before in zip(pieces_of(line), Piece.objects.filter(batch__number=417), strict=True):
            complain(by=front_desk, piece=piece, earlier=before, reason="chips at once")
        return pieces_of(line)

    return make


def test_an_open_complaint_is_on_today_until_it_ends(came_back, desk, front_desk):
    [piece] = came_back()
    assert "chips at once" in desk.get("/").content.decode()
    assert [row.words for row in open_complaints(9)[0]] == ["open"]
    sent = desk.post("/office/complaint/418-1-1", "/office/complaint/418-1-1", outcome="refused", cause="use", note="")
    assert sent["Location"] == "/office/418/"
    assert "chips at once" not in desk.get("/").content.decode()
    undo(by=front_desk, done=ComplaintEnd.objects.get(piece=piece).event)
    assert "chips at once" in desk.get("/").content.decode()


def test_many_open_complaints_stand_on_pages_of_their_own(came_back, desk, front_desk):
    """Today shows the ten oldest: a shop that ends none would otherwise have hundreds on it."""
    pieces = came_back(12)
    today = desk.get("/").content.decode()
    assert [f">{piece}<" in today for piece in pieces] == [True] * 10 + [False] * 2
    assert "All open complaints" in today
    page = desk.get("/office/complaints").content.decode()
    assert all(f">{piece}<" in page for piece in pieces)
    end_complaint(by=front_desk, piece=pieces[0], outcome="credited", cause="runout", note="")
    rest = desk.get(f"/office/complaints?after={pieces[9].pk}").content.decode()
    assert [f">{piece}<" in rest for piece in pieces] == [False] * 10 + [True] * 2
    assert [row.piece for row in open_complaints(10)[0]] == pieces[1:11]
    assert open_complaints(11) == (open_complaints(99)[0], None)


def test_it_stands_on_the_earlier_piece_and_on_both_boxes(came_back, desk, front_desk, bench_hand):
    [piece] = came_back()
    end_complaint(by=front_desk, piece=piece, outcome="credited", cause="runout", note="agreed with Ann")
    for where in ("/office/417/", "/office/418/", "/bench/piece/417-1-1", "/bench/piece/418-1-1"):
        page = desk.get(where).content.decode()
        assert "chips at once" in page, where
        assert "credited: runout, agreed with Ann" in page, where
    assert "Returned later as a complaint" in desk.get("/bench/piece/417-1-1").content.decode()


@pytest.mark.parametrize(("outcome", "charged"), [("ground", 0), ("credited", 0), ("refused", 750)])
def test_only_a_refused_complaint_is_charged(came_back, finish, front_desk, outcome, charged):
    [piece] = came_back()
    [piece] = finish(piece.line, before="0.2400 in", after="0.2350 in", released_because="agreed")
    assert bill(piece.batch).total_minor == 0
    end_complaint(by=front_desk, piece=piece, outcome=outcome, cause="edge")
    assert bill(piece.batch).total_minor == charged
    assert sum(row.free for row in bill(piece.batch).lines) == (0 if charged else 1)


def test_ground_again_is_refused_while_it_was_not(came_back, front_desk):
    [piece] = came_back()
    with pytest.raises(Refusal, match="is not ground again yet"):
        end_complaint(by=front_desk, piece=piece, outcome="ground", cause="edge")
    with pytest.raises(Refusal, match="is no complaint"):
        end_complaint(by=front_desk, piece=piece.complaint_of, outcome="refused", cause="use")


@pytest.mark.usefixtures("sums")
def test_the_review_counts_them_by_cause_and_how_they_ended(came_back, front_desk, client, owner):
    first, second, third, _ = came_back(4)
    end_complaint(by=front_desk, piece=first, outcome="refused", cause="use")
    end_complaint(by=front_desk, piece=second, outcome="credited", cause="use")
    end_complaint(by=front_desk, piece=third, outcome="refused", cause="size")
    end_complaint(by=front_desk, piece=third, outcome="credited", cause="runout")  # of several the newest counts
    causes = count_causes(ReviewFilter(), 4)
    assert [(row.cause, [count for _, count in row.counts], row.all) for row in causes.rows] == [
        ("how it was used", [0, 1, 1], 2),
        ("runout", [0, 1, 0], 1),
    ]
    assert causes.open == 1
    client.force_login(owner)
    page = client.get("/review/").content.decode()
    assert "Complaints by cause" in page
    assert "1 more is open" in page
