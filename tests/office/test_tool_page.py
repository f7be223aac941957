"""The page of a followed tool: opened by the code on its label, shut by a new code or by the owner."""

import re

import pypdfium2
import pytest
import zxingcpp

from regrind.log import AddContext, OneLine
from regrind.office.issuing import issue, read_file
from regrind.office.models import IssuedPaper
from regrind.office.quotes import links
from regrind.office.tool_code_models import ToolCode
from regrind.office.tool_page import codes
from regrind.receiving.actions import follow
from regrind.shop.models import Event, SignInTry
from regrind.shop.owner.actions import save_shop_settings
from regrind.today.search import exact

from .conftest import pieces_of

pytestmark = pytest.mark.django_db
PUBLIC = "https://tools.example"


@pytest.fixture
def shop(settings, owner):
    settings.PUBLIC_ADDRESS = PUBLIC
    save_shop_settings(by=owner, name="Kerf & Land", phone="555-0147", tool_pages=True)


@pytest.fixture
def piece(shop, make_batch, finish, front_desk):
    """One of two released pieces, whose tool is followed."""
    batch = make_batch(2, number=417)
    first, second = pieces_of(batch.lines.get())
    follow(by=front_desk, piece=first)
    follow(by=front_desk, piece=second)
    finish(batch.lines.get())
    return pieces_of(batch.lines.get())[0]


def print_label(piece, by, stock="50x25") -> IssuedPaper:
    return issue(by=by, kind="label", number=str(piece), stock=stock)


def code_on(paper: IssuedPaper) -> str:
    page = pypdfium2.PdfDocument(read_file(paper))[0].render(scale=4).to_pil()
    return zxingcpp.read_barcodes(page)[0].text


def where(tool) -> str:
    return f"/t/{codes.code_of(codes.newest(tool))}"


@pytest.mark.parametrize("stock", ["50x25", "62x29", "letter", "A4"])
def test_a_label_gets_a_code_that_opens_its_tool_alone(piece, front_desk, client, stock):
    scanned = code_on(print_label(piece, front_desk, stock))
    assert re.fullmatch(r"HTTPS://TOOLS\.EXAMPLE/T/[A-Z2-7]{26}", scanned)
    other = pieces_of(piece.line)[1]
    for path in (scanned.removeprefix(PUBLIC.upper()), scanned.removeprefix(PUBLIC.upper()).lower()):
        page = client.get(path)
        assert page.status_code == 200
        text = page.content.decode()
        for said in (piece.tool.tag, "1/4", ".2405", "sharp", "Ground: sides, end"):
            assert said in text
        for secret in (other.tool.tag, piece.batch.customer.name, "price", "USD"):
            assert secret not in text
    assert page["Cache-Control"] == "no-store"
    assert "noindex" in page["X-Robots-Tag"]
    assert not page.cookies


def test_a_reprint_and_another_stock_have_the_same_code(piece, front_desk):
    first = print_label(piece, front_desk)
    assert print_label(piece, front_desk) == first
    assert code_on(print_label(piece, front_desk, "62x29")) == code_on(first)
    assert ToolCode.objects.count() == 1


def test_no_row_holds_what_opens_the_page_and_no_line_of_the_log(piece, front_desk, client, caplog):
    code = code_on(print_label(piece, front_desk)).rpartition("/")[2]
    rows = [*ToolCode.objects.values(), *IssuedPaper.objects.values(), *Event.objects.values()]
    assert code.lower() not in str(rows).lower()
    client.get(f"/t/{code[:-1]}b")
    client.get(f"/T/{code[:-1]}B")
    lines = [OneLine().format(record) for record in caplog.records if AddContext().filter(record)]
    assert "/t/…" in "".join(lines)
    assert code[:-1].lower() not in "".join(lines).lower()


def test_wrong_revoked_and_switched_off_codes_get_the_same_page(piece, front_desk, owner, client):
    print_label(piece, front_desk)
    old = where(piece.tool)
    codes.make_code(by=owner, tool=piece.tool)
    new = where(piece.tool)
    assert client.get(new).status_code == 200
    wrong = client.get("/t/" + "a" * 26)
    revoked = client.get(old)
    save_shop_settings(by=owner, tool_pages=False)
    off = client.get(new)
    assert [one.status_code for one in (wrong, revoked, off)] == [404] * 3
    assert wrong.content == revoked.content == off.content


def test_a_new_code_is_made_on_its_page_and_printed_on_the_next_label(piece, front_desk, desk):
    first = print_label(piece, front_desk)
    page = f"/office/tool/{piece.tool.tag}/code"
    assert PUBLIC + where(piece.tool) in desk.get(page).content.decode()
    desk.post(page, page)
    second = print_label(piece, front_desk)
    assert second.revision == first.revision + 1
    assert code_on(second) != code_on(first)


def test_guesses_share_the_limit_of_the_links_to_quotes(piece, front_desk, client):
    print_label(piece, front_desk)
    for number in range(links.TRIES):
        assert client.get(f"/t/{number:026}").status_code == 404
    assert SignInTry.objects.count() == links.TRIES
    assert client.get(where(piece.tool)).status_code == 404
    assert client.get("/q/" + "a" * 22).status_code == 404


def test_a_right_code_of_128_bits_is_of_the_tool_alone(piece, owner):
    made = {codes.code_of(codes.make_code(by=owner, tool=piece.tool)) for _ in range(100)}
    assert len(made) == 100
    assert {len(code) for code in made} == {26}  # 26 signs of 5 bits hold the 128


def test_without_an_address_or_the_owners_word_labels_carry_the_number_alone(piece, front_desk, owner, settings):
    settings.PUBLIC_ADDRESS = ""
    assert code_on(print_label(piece, front_desk)) == f"B{piece}"
    settings.PUBLIC_ADDRESS = PUBLIC
    save_shop_settings(by=owner, tool_pages=False)
    assert code_on(print_label(piece, front_desk, "62x29")) == f"B{piece}"
    save_shop_settings(by=owner, tool_pages=True)
    settings.PUBLIC_ADDRESS = f"https://{'long' * 15}.example"
    assert code_on(print_label(piece, front_desk, "A4")) == f"B{piece}"
    assert not Event.objects.filter(kind="tool code", why__contains="417").exists()


def test_with_another_signing_key_the_number_is_printed_until_there_is_a_new_code(piece, front_desk, owner, settings):
    print_label(piece, front_desk)
    settings.SECRET_KEY = "another"
    assert code_on(print_label(piece, front_desk, "62x29")) == f"B{piece}"
    codes.make_code(by=owner, tool=piece.tool)
    assert code_on(print_label(piece, front_desk, "A4")).startswith("HTTPS://TOOLS.EXAMPLE/T/")


def test_a_scan_of_the_label_finds_the_tool_at_the_bench_an_old_label_too(piece, front_desk, owner, client):
    scanned = code_on(print_label(piece, front_desk))
    codes.make_code(by=owner, tool=piece.tool)
    assert exact(scanned) == exact(scanned.lower()) == f"/bench/piece/{piece}"
    assert exact(scanned[:-1] + "B") is None
