"""Printing from the page: one tap, plain posts, and what goes wrong told beside it."""

import pytest

from regrind.office import actions
from regrind.office.issuing import issue, read_file
from regrind.office.models import IssuedPaper
from regrind.record.models import Batch

from .conftest import Desk, pieces_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def batch(make_batch, finish, front_desk):
    """Batch 417: three released and sent, two of a second line just arrived."""
    batch = make_batch(3, 2, number=417)
    pieces = finish(batch.lines.first())
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces)
    return batch


@pytest.mark.parametrize(
    ("kind", "number"),
    [
        ("job_sheet", "417"),
        ("report", "417"),
        ("slip", "417_1"),
        ("tag", "417-2"),
        ("label", "417-1"),
        ("label", "417-1-2"),
        ("setup_card", "417-1"),
    ],
)
def test_one_tap_leads_to_the_very_file_that_was_issued(batch, desk, kind, number):
    answer = desk.press(kind, number)
    paper = IssuedPaper.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, f"/office/paper/{paper.pk}")
    shown = desk.get(answer["Location"])
    assert shown.content == read_file(paper)
    assert shown["Content-Type"] == "application/pdf"
    assert shown["Content-Disposition"].startswith("inline")
    assert shown["X-Content-Type-Options"] == "nosniff"
    assert (paper.kind, paper.number, paper.by.name) == (kind, number.replace("_", "/"), "Fay")


def test_tapping_twice_issues_once(batch, desk):
    first, second = (desk.press("report", "417") for _ in range(2))
    assert first["Location"] == second["Location"]
    assert IssuedPaper.objects.count() == 1


def test_a_page_left_open_prints_what_stands_now(batch, desk):
    fields = {"once": "the key of a page that was opened in the morning"}
    first = desk.client.post("/office/print/report/417", fields)
    Batch.objects.update(order_number="PO 99")
    second = desk.client.post("/office/print/report/417", fields)
    assert first["Location"] != second["Location"]
    assert IssuedPaper.objects.get(revision=2).number == "417"


def test_a_form_without_its_once_only_key_issues_nothing(batch, desk):
    assert desk.client.post("/office/print/report/417").status_code == 400
    assert not IssuedPaper.objects.exists()


def test_the_page_lists_what_can_be_printed_and_its_revisions(batch, desk, front_desk):
    issue(by=front_desk, kind="report", number="417")
    Batch.objects.update(order_number="PO 99")
    issue(by=front_desk, kind="report", number="417")
    text = desk.get("/office/417/papers").content.decode()
    for part in (
        "Print the job sheet",
        "Print the report",
        "Print slip 1",
        "/office/print/label/417-1",
        "/office/print/tag/417-2",
        "/office/print/setup_card/417-1",
        "Revision 2",
        "replaced",
    ):
        assert part in text
    assert "/office/print/label/417-2" not in text  # nothing of it is done
    assert "Revision 2" in desk.get("/office/417/").content.decode()


def test_stock_start_and_piece_chosen_on_the_page_go_with_every_tap(batch, desk):
    text = desk.get("/office/417/papers", stock="A4", start="5", piece="1-2", each="on").content.decode()
    assert '<input type="hidden" name="stock" value="A4">' in text
    assert '<input type="hidden" name="start" value="5">' in text
    assert "/office/print/label/417-1-2" in text
    assert "from label 5, one for every piece" in text
    desk.press("label", "417-1", stock="A4", start="5", each="on")
    assert '"stock":{"each":true,"key":"A4","start":5}' in IssuedPaper.objects.get().snapshot
    assert 'value="A4" selected' in desk.get("/office/417/papers").content.decode()  # the stock used last


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("start", "0", "counted from the top left"),
        ("start", "61", "from 1 to 60"),
        ("start", "x", "from 1 to 60"),
        ("stock", "napkin", "Not a label stock. Choose one of"),
        ("piece", "9-9", "is not a piece of this batch"),
        ("piece", "1-2-3-4", "is not a piece of this batch"),
        ("piece", "one", "Write 3-7"),
        ("piece", "418-1-1", "is not a piece of this batch"),
    ],
)
def test_a_wrong_choice_is_told_beside_its_field_and_kept(batch, desk, make_batch, field, value, said):
    make_batch(1, number=418)
    answer = desk.get("/office/417/papers", **{field: value})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert said in text
    assert field == "stock" or f'value="{value}"' in text


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"start": "0"}, "counted from the top left"),
        ({"start": "x"}, "row by row"),
        ({"stock": "napkin"}, "Choose one of"),
        ({"stock": "A4", "start": "25"}, "write 1 to 24"),
        ({"stock": "50x25", "start": "2"}, "a roll starts at 1"),
    ],
)
def test_a_wrong_post_prints_nothing_and_says_what_would_be_right(batch, desk, fields, said):
    answer = desk.press("label", "417-1", **fields)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not IssuedPaper.objects.exists()


def test_a_paper_there_is_nothing_for_says_why(batch, desk):
    answer = desk.press("label", "417-2")
    assert answer.status_code == 422
    assert "Nothing of this is released yet" in answer.content.decode()


@pytest.mark.parametrize(
    ("kind", "number"),
    [
        ("napkin", "417"),
        ("report", "999"),
        ("slip", "417_9"),
        ("slip", "417_x"),
        ("slip", "417"),
        ("label", "999"),
        ("label", "417-9"),
        ("tag", "417-1-99"),
        ("report", "417-1"),
        ("setup_card", "417-1-1"),
        ("report", "-1"),
        ("report", "4'17"),
        ("slip", "99999999999_1"),
    ],
)
def test_a_number_that_is_not_there_is_not_found(batch, desk, kind, number):
    assert desk.client.post(f"/office/print/{kind}/{number}", {"once": "k"}).status_code == 404
    assert not IssuedPaper.objects.exists()


def test_a_missing_or_altered_file_is_a_page_that_says_so(batch, desk, papers_folder):
    where = desk.press("report", "417")["Location"]
    [file] = papers_folder.iterdir()
    file.write_bytes(b"%PDF-1.4 other")
    altered = desk.get(where)
    file.unlink()
    gone = desk.get(where)
    assert (altered.status_code, gone.status_code) == (410, 410)
    assert "changed after it was issued" in altered.content.decode()
    assert "restore it from the backup" in gone.content.decode()
    assert altered["Content-Type"].startswith("text/html")


def test_the_bench_prints_for_itself_and_not_for_the_customer(batch, client, bench_hand, front_desk):
    client.force_login(bench_hand)
    bench = Desk(client)
    for kind, number in (("job_sheet", "417"), ("setup_card", "417-1"), ("tag", "417-2"), ("label", "417-1")):
        assert bench.press(kind, number).status_code == 302
    assert bench.press("report", "417").status_code == 403
    assert bench.press("slip", "417_1").status_code == 403
    report = issue(by=front_desk, kind="report", number="417")
    assert bench.get(f"/office/paper/{report.pk}").status_code == 403
    assert "Print the report" not in bench.get("/office/417/papers").content.decode()


def test_strangers_and_wrong_methods_get_nothing(batch, client, front_desk):
    assert client.get("/office/417/papers")["Location"].startswith("/shop/sign-in")
    assert client.post("/office/print/report/417", {"once": "k"})["Location"].startswith("/shop/sign-in")
    client.force_login(front_desk)
    assert client.get("/office/print/report/417").status_code == 405
    assert client.post("/office/417/papers").status_code == 405
    assert client.get("/office/paper/99999").status_code == 404
    assert client.get("/office/999/papers").status_code == 404


@pytest.mark.parametrize("page", ["/office/{}/", "/office/{}/papers", "/office/{}/parcel"])
def test_pages_ask_as_often_for_400_pieces_as_for_one(make_batch, finish, desk, page, django_assert_max_num_queries):
    counts = []
    for number, size in ((501, 1), (502, 10), (503, 400)):
        finish(make_batch(size, number=number).lines.get())
        with django_assert_max_num_queries(40) as asked:
            assert desk.get(page.format(number)).status_code == 200
        counts.append(len(asked))
    assert len(set(counts)) == 1


def test_printing_a_batch_of_400_stays_with_few_queries(make_batch, finish, desk, django_assert_max_num_queries):
    counts = []
    for number, size in ((504, 1), (505, 400)):
        batch = make_batch(size, number=number)
        finish(batch.lines.get())
        assert len(pieces_of(batch.lines.get())) == size
        with django_assert_max_num_queries(60) as asked:
            assert desk.client.post(f"/office/print/report/{number}", {"once": f"k{number}"}).status_code == 302
        counts.append(len(asked))
    assert len(set(counts)) == 1


@pytest.mark.parametrize(
    ("where", "offered", "not_offered"),
    [
        ("/bench/417-1/", ["tag/417-1", "label/417-1", "setup_card/417-1"], []),
        ("/bench/417-2/", ["tag/417-2"], ["label/417-2", "setup_card/417-2"]),
        ("/bench/piece/417-1-2", ["tag/417-1-2", "label/417-1-2"], []),
        ("/bench/piece/417-2-1", ["tag/417-2-1"], ["label/417-2-1"]),
        ("/receiving/417/", ["job_sheet/417", "tag/417-1", "tag/417-2"], []),
    ],
)
def test_the_page_of_a_piece_a_line_or_a_box_prints_with_one_tap(batch, desk, where, offered, not_offered):
    text = desk.get(where).content.decode()
    for paper in offered:
        assert f'action="/office/print/{paper}"' in text
        kind, number = paper.split("/")
        assert desk.post(f"/office/print/{paper}", where).status_code == 302
        assert IssuedPaper.objects.filter(kind=kind, number=number).exists()
    for paper in not_offered:
        assert f'action="/office/print/{paper}"' not in text


def test_a_label_printed_from_a_page_goes_to_the_stock_used_last(batch, desk):
    desk.press("label", "417-1", stock="62x29")
    desk.post("/office/print/label/417-1-2", "/bench/piece/417-1-2")
    assert '"key":"62x29"' in IssuedPaper.objects.get(number="417-1-2").snapshot
