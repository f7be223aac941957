"""The whole conversation with a customer who has a phone: findings, quote, link, answer, bench, return, bill, paid.

One tool of each answer: as proposed, another way, back unground, scrap.
"""

import pytest

from regrind.bench.models import Plan
from regrind.office.bill_models import Bill
from regrind.office.bills.making import open_minor
from regrind.office.bills.terms import keep_terms
from regrind.office.quote_models import QuoteAnswer, QuoteItem
from regrind.record.models import Piece
from regrind.record.rate_changes import keep_list
from regrind.shop.models import Wheel, WorkHolding

from .job_bench import check_them, look, planned
from .job_steps import Hand

PRICES = {"sides": 1_750, "end": 1_200}
INSPECTION = 300


@pytest.fixture
def box(make_batch, owner, settings, live_server, tmp_path, gauges):
    """A box of four tools, a price list, taxes, a wheel, and the address that a phone reaches the program at."""
    settings.PAPERS, settings.PUBLIC_ADDRESS = tmp_path / "papers", live_server.url
    batch = make_batch(4, number=417)
    entries = {((None, "square"), "price", work): minor for work, minor in PRICES.items()}
    entries |= {((None, "square"), "new", ""): 4_890, ((None, "square"), "inspection", ""): INSPECTION}
    keep_list(by=owner, entries=entries, from_day=batch.received_at.date(), stale=lambda: False)
    keep_terms(by=owner, customer=None, tax="S", tax_milli=20_000)
    Wheel.objects.create(
        name="D64 cup", abrasive="diamond", shape="11V9", diameter_nm=100_000_000, marked_maximum_rpm=6000
    )
    WorkHolding.objects.create(name="Work head")
    return batch


@pytest.fixture
def office(open_device, front_desk) -> Hand:
    hand = Hand(open_device("desk"))
    hand.sign_in("Fay")
    return hand


@pytest.fixture
def bench(open_device, bench_hand) -> Hand:
    hand = Hand(open_device("tablet"))
    hand.sign_in("Bea")
    return hand


def test_from_the_findings_to_the_paid_bill_with_one_tool_of_each_answer(box, office, bench, phone, axe):
    ask_about_all(bench)
    link = make_the_quote(office)
    answer_on_the_phone(phone, link, axe)
    work_what_is_cleared(bench)
    return_them(office)
    bill_them(office)


def states() -> list[str]:
    return list(Piece.objects.order_by("pk").values_list("status", flat=True))


def ask_about_all(bench: Hand) -> None:
    look(bench, "417-1", diameter=".2498", damage_depth="3 thou", reach=".060")
    bench.open("/bench/417-1/plan")
    assert "17.50" in bench.text()
    bench.page.locator("summary", has_text="Ask or return").click()
    bench.page.locator("#id_reason").fill("They come out small. Shall we?")
    bench.press("Ask the customer")
    assert states() == ["waiting"] * 4


def make_the_quote(office: Hand) -> str:
    office.open("/office/417/")
    office.follow("Quotes")
    office.press("Make the quote")
    assert "waiting for the answer" in office.text()
    office.press("Make a link")
    return str(office.page.locator("a.link").get_attribute("href"))


def answer_on_the_phone(phone, link: str, axe) -> None:
    customer = Hand(phone)
    customer.open(link)
    assert axe(phone) == []
    [item] = QuoteItem.objects.all()
    proposed = item.shown["proposed"]
    another = next(one["way"] for one in item.shown["options"] if one["way"] != proposed)
    rows = list(item.pieces.order_by("pk"))
    customer.choose(**{f"item_{item.pk}": proposed})
    for row, way in zip(rows[1:], (another, "returned_unground", "scrap"), strict=True):
        customer.choose(**{f"piece_{row.pk}": way})
    customer.fill(who="Ann Lund", note=f"Two are needed on Friday {'x' * 200}")
    customer.press("Read my answer once more")
    assert states() == ["waiting"] * 4
    assert axe(phone) == []
    phone.locator("[name=scrap_sure]").check()
    customer.press("Yes, send this")
    assert "Thank you. Your answer" in customer.text()
    assert customer.text().count("Two are needed on Friday") == 1
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth"), "a long word runs out of the page"
    assert axe(phone) == []
    assert states() == ["ready_to_grind", "ready_to_grind", "released", "released"]
    assert QuoteAnswer.objects.count() == 4


def work_what_is_cleared(bench: Hand) -> None:
    bench.open("/bench/piece/417-1-1")
    assert "Ann Lund" in bench.text()
    ways = {piece.short: agreed_work(piece) for piece in Piece.objects.filter(status="ready_to_grind")}
    assert sorted(ways.values()) == ["end", "sides"]
    for short, work in ways.items():  # two ways, so two setups
        bench.open("/bench/417-1/grind")
        bench.only(short)
        for part in PRICES:
            bench.page.locator(f"[name='grinds'][value='{part}']").set_checked(part == work)
        bench.fill(minutes="10")
        bench.choose(wheel="D64 cup", holding="Work head")
        bench.press("Save grind")
    for short in ("1-1", "1-2"):
        check_them(
            bench,
            "417-1",
            short,
            diameter=planned(f"417-{short}"),
            drop=".0027",
            drop_over=".020",
            runout_sides=".0003",
            overall="2.486",
            usable=".678",
            chosen={"gauge": "v-anvil 1", "indicator": "indicator 1", "drop_way": "along the tangent"},
        )
    assert states() == ["released"] * 4


def agreed_work(piece: Piece) -> str:
    """What is ground of a piece, as its newest plan has it."""
    return str(Plan.objects.filter(piece=piece).latest("revision").grinds)


def return_them(office: Hand) -> None:
    office.open("/office/417/")
    office.follow("Pack a parcel")
    office.press("Mark the ticked pieces as sent")
    assert states() == ["left"] * 4


def bill_them(office: Hand) -> None:
    office.open("/office/bills")
    office.follow("Make a bill")
    office.press("Make the bill")
    [bill] = Bill.objects.all()
    lines = sorted((line.item, line.pieces, line.each_minor) for line in bill.lines.all())
    assert lines == [("inspection", 2, INSPECTION), ("price", 1, PRICES["end"]), ("price", 1, PRICES["sides"])]
    assert bill.net_minor == sum(PRICES.values()) + 2 * INSPECTION
    assert bill.total_minor == bill.net_minor * 120 // 100
    office.open(f"/office/bills/bill/{bill}/paid")
    office.press("Mark as paid")
    assert open_minor(bill) == 0
