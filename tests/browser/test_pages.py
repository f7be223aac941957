"""The main pages with a shop's work on them: no barrier that axe finds, light or dark, and none wider than 320 px."""

from datetime import date, timedelta

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import send_to_coater
from regrind.geometry.units import parse
from regrind.office.actions import send_parcel, set_prices
from regrind.office.issuing import Stock, keep, prepare
from regrind.office.mail_models import Mail
from regrind.office.quotes.making import make_link, make_quote
from regrind.receiving.actions import complain
from tests.bench.tray import ground, inspect, pieces_of, plan_by_example, ready_to_grind

from .conftest import CONTRAST
from .job_steps import Hand

NARROW = {"viewport": {"width": 320, "height": 640}}
PAGES = {
    "today": "/",
    "search": "/search?q=1/4",
    "batches": "/receiving/",
    "receive": "/receiving/new",
    "customers": "/receiving/customers",
    "batch": "/receiving/{batch}/",
    "what is in it": "/receiving/{batch}/lines",
    "line received": "/receiving/line/{batch}-1",
    "kinds": "/receiving/families",
    "bench": "/bench/",
    "line": "/bench/{batch}-2/",
    "inspect": "/bench/{batch}-1/inspect",
    "plan": "/bench/{batch}-2/plan",
    "grind": "/bench/{batch}-3/grind",
    "setup card": "/bench/{batch}-3/setup-card",
    "check": "/bench/{batch}-4/check",
    "photos": "/bench/{batch}-5/photos",
    "checked": "/bench/{batch}-5/checked",
    "piece": "/bench/piece/{batch}-5-1",
    "coater": "/bench/{batch}-7/at-coater",
    "at_coater": "/bench/at-coater",
    "answer": "/office/{batch}-6/answer",
    "office": "/office/",
    "office batch": "/office/{batch}/",
    "prices": "/office/{batch}/prices",
    "parcel": "/office/{batch}/parcel",
    "rates": "/office/rates",
    "rates of a kind": "/office/rates/kind/square",
    "rates of a family": "/office/rates/family/{family}",
    "papers": "/office/{batch}/papers",
    "quotes": "/office/{batch}/quotes",
    "quote": "/office/{batch}/quotes/1",
    "quote of a customer": "/q/{token}",
    "mail of a box": "/office/{batch}/mail",
    "outbox": "/office/mail",
    "complaint": "/office/complaint/{complaint}",
    "review": "/review/",
    "review of one": "/review/{family}",
    "review by customer": "/review/customers",
    "book": "/calculators/",
    "book page": "/calculators/relief",
    "setups": "/bench/setups",
    "gauges": "/bench/gauges",
    "wheels": "/bench/wheels",
    "shop": "/shop/settings",
    "people": "/shop/people",
    "tablets": "/shop/tablets",
    "backups": "/shop/backups",
    "your account": "/shop/account",
    "change password": "/shop/account/password",
    "your PIN": "/shop/pin",
    "handbook": "/help/",
    "handbook page": "/help/receive-a-box",
}


@pytest.fixture
def addresses(make_batch, family, bench_hand, front_desk, gauges, wheel, holding, settings, tmp_path) -> dict[str, str]:
    """A box with a line in each state, one parcel and one paper of it: every page by its name."""
    settings.PAPERS = tmp_path / "papers"
    batch = make_batch(20, 12, 6, 6, 6, 4, 4)
    lines = list(batch.lines.order_by("number"))
    look(lines[1], bench_hand)
    ready_to_grind(lines[2], bench_hand)
    ground(lines[3], bench_hand)
    done = release(ground(lines[4], bench_hand), bench_hand, gauges)
    ask(lines[5], bench_hand)
    send_to_coater(
        by=bench_hand,
        batch=batch,
        pieces=ground(lines[6], bench_hand)[:2],
        number="C 77",
        coater="Northgate Coating",
        coating="AlTiN",
        expected=date.today() + timedelta(days=7),
    )
    set_prices(by=front_desk, prices={lines[4]: 900, lines[5]: 900})
    send_parcel(by=front_desk, batch=batch, pieces=done[:2])
    settings.PUBLIC_ADDRESS, settings.EMAIL_HOST = "https://tools.example", "smtp.example"
    token = make_link(by=front_desk, quote=make_quote(by=front_desk, batch=batch))
    again = make_batch(1).pieces.get()
    complain(by=bench_hand, piece=again, earlier=done[0], reason="chips at once")
    Mail.objects.create(
        kind="quote", batch=batch, to="ann@x.example", message_id="<1@x>", queued_by=front_desk, state="failed"
    )
    keep(by=front_desk, prepared=prepare("slip", f"{batch.number}/1", Stock()))
    names = {"batch": batch.number, "family": family.pk, "token": token, "complaint": again}
    return {name: where.format(**names) for name, where in PAGES.items()}


def look(line, by) -> None:
    """Two groups of like pieces, so that the plan has a common size to show."""
    pieces = pieces_of(line)
    for some, depth in ((pieces[:8], "0.003 in"), (pieces[8:], "0.006 in")):
        inspect(
            by=by,
            pieces=some,
            expected={},
            damage="depth",
            typed={"diameter": parse("0.2498 in"), "damage_depth": parse(depth), "reach": parse("0.060 in")},
        )


def release(pieces, by, gauges):
    check(
        by=by,
        pieces=pieces,
        expected={},
        typed={"diameter": parse("0.2408 in")},
        corner="sharp",
        gauge=gauges["v-anvil"],
    )
    return pieces


def ask(line, by) -> None:
    pieces = pieces_of(line)
    inspect(by=by, pieces=pieces, expected={}, damage="nothing", typed={"diameter": parse("0.2498 in")})
    plan_by_example(pieces, by, decision="ask", reason="too thin")


@pytest.fixture
def owner_at(open_device, owner):
    """owner_at("tablet", ...) -> the owner, who may see every page, signed in at a device."""

    def sign_in(device: str, **options) -> Hand:
        hand = Hand(open_device(device, **options))
        hand.sign_in("Oda")
        return hand

    return sign_in


@pytest.mark.long
def test_no_page_has_a_barrier_and_none_lacks_contrast_in_the_dark(owner_at, addresses, axe):
    hand, found = owner_at("tablet"), {}
    for name, where in addresses.items():
        hand.page.emulate_media(color_scheme="light")
        hand.open(where)
        barriers = axe(hand.page)
        hand.page.emulate_media(color_scheme="dark")
        barriers += axe(hand.page, CONTRAST)
        found |= {name: barriers} if barriers else {}
    assert found == {}


def test_a_text_too_pale_in_the_dark_alone_is_found(owner_at, axe):
    hand = owner_at("tablet")
    hand.open("/")
    rule = "@media (prefers-color-scheme: dark) { h1 { color: #333 !important } }"
    hand.page.evaluate("rule => document.styleSheets[0].insertRule(rule)", rule)
    assert axe(hand.page) == []
    hand.page.emulate_media(color_scheme="dark")
    assert [barrier.split()[0] for barrier in axe(hand.page, CONTRAST)] == ["color-contrast"]


@pytest.mark.parametrize("where", ["/", "/bench/"])
def test_a_page_with_nothing_on_it_has_no_barrier(owner_at, axe, where):
    hand = owner_at("tablet")
    hand.open(where)
    assert axe(hand.page) == []


def test_every_page_fits_a_screen_of_320_px(owner_at, addresses):
    hand, widths = owner_at("phone", **NARROW), {}
    for name, where in addresses.items():
        hand.open(where)
        widths[name] = width_of(hand)
    assert {name: width for name, width in widths.items() if width > NARROW["viewport"]["width"]} == {}
    hand.page.evaluate("document.querySelector('main').style.width = '330px'")  # and one that is too wide shows
    assert width_of(hand) > NARROW["viewport"]["width"]


def width_of(hand: Hand) -> int:
    return hand.page.evaluate("document.scrollingElement.scrollWidth")


def test_the_folds_of_the_bench_fit_and_have_no_barrier_once_they_are_open(owner_at, addresses, axe):
    """What lies in a fold, or in a part of the inspection, is not seen by axe or by the eye until it is opened."""
    tablet, phone, found = owner_at("tablet"), owner_at("phone", **NARROW), {}
    for name in ("inspect", "plan", "grind", "check", "what is in it"):
        for hand in (tablet, phone):
            hand.open(addresses[name])
            hand.page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
            hand.page.evaluate("document.querySelectorAll('.part').forEach(part => part.classList.add('wrong'))")
        barriers, width = axe(tablet.page), width_of(phone)
        found |= {name: (barriers, width)} if barriers or width > NARROW["viewport"]["width"] else {}
    assert found == {}


def test_a_printed_review_keeps_every_column_on_the_sheet(owner_at, addresses):
    """A4 across less its margins is 277 mm; what a sheet has no room for would be cut, since paper does not scroll."""
    hand = owner_at("desk", viewport={"width": round(277 / 25.4 * 96), "height": 700})
    hand.open(addresses["review"])
    room = "[...document.querySelectorAll('.scroll')].map(box => box.scrollWidth - box.clientWidth)"
    assert max(hand.page.evaluate(room)) > 0  # on a screen this narrow it scrolls
    hand.page.emulate_media(media="print")
    assert max(hand.page.evaluate(room)) <= 0


def test_what_a_search_found_stacks_on_a_phone(owner_at, addresses):
    hand = owner_at("phone")
    hand.open("/search?q=1/4")
    tables = hand.page.locator("main table")
    assert tables.count() > 0
    for box in hand.page.evaluate("[...document.querySelectorAll('main table')].map(t => [t.scrollWidth, innerWidth])"):
        assert box[0] <= box[1]
    assert hand.page.locator("main td[data-label=customer]").first.is_visible()


@pytest.mark.parametrize("address", ["/", "/review/", "/shop/settings"])
def test_the_room_one_is_in_shows_whole_in_the_bar_of_a_phone(owner_at, address):
    hand = owner_at("phone")
    hand.open(address)
    here = hand.page.locator(".top nav [aria-current]").bounding_box()
    assert here["x"] >= 0
    assert here["x"] + here["width"] <= hand.page.viewport_size["width"]
    assert hand.page.evaluate("scrollY") == 0


@pytest.mark.parametrize("name", ["today", "batches", "office", "gauges", "people"])
def test_a_row_of_a_list_opens_wherever_it_is_tapped(owner_at, addresses, name):
    hand = owner_at("tablet")
    hand.open(addresses[name])
    row = hand.page.locator("main tr:has(> td:first-child a)").first
    leads = row.locator("td:first-child a").first.get_attribute("href")
    blank = row.locator("td").nth(1).bounding_box()
    hand.page.touchscreen.tap(blank["x"] + blank["width"] - 3, blank["y"] + blank["height"] - 3)
    hand.page.wait_for_url(f"**{leads}")
