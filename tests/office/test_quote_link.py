"""The customer's page: opened by a link alone, changed by one decision, and closed to everybody else."""

import io
import re
import time
from datetime import timedelta
from pathlib import Path
from statistics import median

import pypdfium2
import pytest
import zxingcpp
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from regrind.bench.models import Inspection, Plan
from regrind.bench.revisions import revisions
from regrind.log import AddContext, OneLine
from regrind.office.quote_models import QuoteAnswer, QuoteLink
from regrind.office.quotes import links
from regrind.office.quotes.making import make_link, make_quote, revoke_links
from regrind.record.models import Answer
from regrind.shop.models import Event, SignInTry

from .conftest import pieces_of
from .quotes import quoted

__all__ = ["quoted"]
pytestmark = pytest.mark.django_db


SURE = {"sure": "on", "scrap_sure": "on"}


def answer(client, asked, *, who="Ann Lund", sure=SURE, **fields):
    return client.post(asked.where, {"who": who, "note": "", "every": "", **sure, **fields})


def test_opening_shows_the_quote_and_changes_nothing(quoted, client):
    asked = quoted(2)
    before = (Event.objects.count(), asked.states(), SignInTry.objects.count())
    for method in (client.get, client.head, client.get):
        assert method(asked.where).status_code == 200
    assert (Event.objects.count(), asked.states(), SignInTry.objects.count()) == before
    page = client.get(asked.where).content.decode()
    for said in ("It is small. Shall we?", "17.50", "our proposal", "Return unground", "for the inspection"):
        assert said in page
    assert "<script" not in page


def test_no_copy_is_stored_no_site_learns_the_address_and_no_cookie_is_set(quoted, client):
    answered = client.get(quoted(1).where)
    assert answered["Cache-Control"] == "no-store"
    assert answered["Referrer-Policy"] == "no-referrer"
    assert "noindex" in answered["X-Robots-Tag"]
    assert "default-src 'none'" in answered["Content-Security-Policy"]
    assert not answered.cookies


def test_each_way_to_answer_for_an_item_a_tool_and_all(quoted, client):
    asked = quoted(2, 3, 1)
    first, second, third = asked.items
    one = asked.rows[2]
    sent = answer(
        client,
        asked,
        every="proposed",
        **{f"item_{first.pk}": asked.way("end"), f"item_{second.pk}": "scrap", f"piece_{one.pk}": "returned_unground"},
    )
    assert sent.status_code == 302
    assert asked.states() == [*["ready_to_grind"] * 2, *["released"] * 3, "ready_to_grind"]
    results = list(asked.batch.pieces.order_by("pk").values_list("result", flat=True))
    assert results == ["", "", "returned_unground", "scrap", "scrap", ""]
    chosen = {row.quote_piece.item_id: row.answer.agreed for row in QuoteAnswer.objects.all()}
    assert chosen[first.pk].startswith("grind end")
    proposed = next(one for one in third.shown["options"] if one["way"] == third.shown["proposed"])
    assert chosen[third.pk].startswith(f"grind {proposed['words']}")
    assert {row.how for row in Answer.objects.all()} == {"link"}


def test_one_decision_sent_again_or_from_another_tab_changes_nothing(quoted, client):
    asked = quoted(1)
    [item] = asked.items
    answer(client, asked, **{f"item_{item.pk}": "scrap"})
    again = answer(client, asked, **{f"item_{item.pk}": asked.way("end")})
    assert again.status_code == 200
    assert "Thank you. Your answer" in again.content.decode()
    assert Answer.objects.count() == 1
    assert asked.states() == ["released"]


def test_what_is_left_open_stays_open_and_can_be_answered_later(quoted, client):
    asked = quoted(2)
    first, second = asked.rows
    answer(client, asked, **{f"piece_{first.pk}": "scrap"})
    assert asked.states() == ["released", "waiting"]
    answer(client, asked, **{f"item_{asked.items[0].pk}": "returned_unground"})
    assert asked.states() == ["released", "released"]
    assert second.piece.batch_id == asked.batch.pk


def test_nothing_chosen_and_no_name_are_said_and_what_was_chosen_stays(quoted, client):
    asked = quoted(1)
    [item] = asked.items
    nothing = answer(client, asked)
    assert nothing.status_code == 422
    assert "Choose an answer for at least one tool" in nothing.content.decode()
    nameless = answer(client, asked, who="", **{f"item_{item.pk}": "scrap"})
    assert nameless.status_code == 422
    assert "Your name is required" in nameless.content.decode()
    assert re.search(r'value="scrap"[^>]*checked', nameless.content.decode())
    assert asked.states() == ["waiting"]


def test_a_way_of_another_quote_is_refused(quoted, client):
    asked, other = quoted(1), quoted(1, number=418)
    refused = answer(client, asked, **{f"item_{asked.items[0].pk}": other.way("end")})
    assert refused.status_code == 422
    unknown = answer(client, asked, **{f"item_{other.items[0].pk}": "scrap"})
    assert unknown.status_code == 422
    assert asked.states() + other.states() == ["waiting", "waiting"]


def test_a_changed_finding_makes_the_quote_void_and_the_page_says_so(quoted, client, look):
    asked = quoted(1)
    [item] = asked.items
    [piece] = pieces_of(asked.batch.lines.get())
    plans = Plan.objects.filter(piece=piece).count()
    look_again(look, piece)
    assert "this quote no longer holds" in client.get(asked.where).content.decode()
    refused = answer(client, asked, **{f"item_{item.pk}": "scrap"})
    assert "this quote no longer holds" in refused.content.decode()
    assert Answer.objects.count() == 0
    assert Plan.objects.filter(piece=piece).count() == plans


def look_again(look, piece):
    """Another reading of the same tool."""
    look([piece], "0.2440 in", expected=revisions(Inspection, [piece]))


def test_wrong_old_and_foreign_links_get_the_same_404(quoted, client, front_desk):
    old, revoked, replaced, live = quoted(1), quoted(1, number=418), quoted(1, number=419), quoted(1, number=420)
    revoke_links(by=front_desk, quote=revoked.quote)
    make_quote(by=front_desk, batch=replaced.batch)
    later = timezone.now() + timedelta(days=40)
    answers = {client.get(f"/q/{token}").content for token in (links.new_token(), revoked.token, replaced.token, "x")}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(timezone, "now", lambda: later)
        expired = client.get(old.where)
    assert expired.status_code == 404
    assert answers == {expired.content}
    assert client.get(live.where).status_code == 200
    assert client.post(revoked.where, {"who": "Ann", "every": "scrap"}).status_code == 404
    assert revoked.states() == ["waiting"]


def test_a_new_link_ends_the_one_before(quoted, front_desk, client):
    asked = quoted(1)
    token = make_link(by=front_desk, quote=asked.quote)
    assert client.get(asked.where).status_code == 404
    assert client.get(f"/q/{token}").status_code == 200


def test_wrong_links_are_limited_by_address_in_the_database(quoted, client):
    asked = quoted(1)
    for _ in range(links.TRIES):
        assert client.get(f"/q/{links.new_token()}").status_code == 404
    assert SignInTry.objects.filter(name=links.KEY).count() == links.TRIES
    assert client.get(asked.where).status_code == 404  # this address has had its tries
    assert client.get(f"/q/{links.new_token()}").status_code == 404
    assert SignInTry.objects.filter(name=links.KEY).count() == links.TRIES
    assert client.get(asked.where, REMOTE_ADDR="192.0.2.7").status_code == 200
    SignInTry.objects.update(at=timezone.now() - timedelta(minutes=16))
    assert client.get(asked.where).status_code == 200


def dead_links(quoted, front_desk):
    """One link of each kind that opens nothing: expired, revoked, replaced by a later quote's."""
    expired, revoked, replaced = quoted(1), quoted(1, number=418), quoted(1, number=419)
    ended, link = timezone.now() - timedelta(days=1), expired.quote.links.get()
    QuoteLink.objects.create(event=link.event, quote=link.quote, digest=links.digest_of("old"), ends_at=ended)
    revoke_links(by=front_desk, quote=revoked.quote)
    make_quote(by=front_desk, batch=replaced.batch)
    return ["/q/old", revoked.where, replaced.where]


def test_a_guessed_and_a_dead_link_cost_the_same_queries(quoted, front_desk, client):
    asked = []
    for where in (f"/q/{links.new_token()}", *dead_links(quoted, front_desk)):
        with CaptureQueriesContext(connection) as queries:
            assert client.get(where).status_code == 404
        asked.append([re.sub(r"'[^']*'|\d+", "?", query["sql"]) for query in queries])
    assert all(one == asked[0] for one in asked)
    assert len(asked[0]) < 10


@pytest.mark.full
@pytest.mark.drill("guessed links, each a 404 in the same time")
@pytest.mark.parametrize("links_guessed", [10_000])
def test_guessed_links_are_all_404_in_the_same_time(quoted, front_desk, client, links_guessed):
    """From an address each, so that no limit answers for the page; dead links in between, for their time."""
    dead = dead_links(quoted, front_desk)
    took = {"guessed": [], "dead": []}
    for n in range(links_guessed):
        kind = "dead" if n % 4 == 3 else "guessed"
        where = dead[n % len(dead)] if kind == "dead" else f"/q/{links.new_token()}"
        begun = time.perf_counter()
        answered = client.get(where, REMOTE_ADDR=f"10.{n >> 16}.{n >> 8 & 255}.{n & 255}")
        took[kind].append(time.perf_counter() - begun)
        assert answered.status_code == 404
    guessed, old = median(took["guessed"]), median(took["dead"])
    assert 0.9 < guessed / old < 1.1


def test_a_token_has_128_random_bits_and_is_stored_nowhere(quoted, desk, client):
    asked = quoted(1)
    assert len({links.new_token() for _ in range(200)}) == 200
    assert len(asked.token) == 22  # 16 bytes in base 64 without padding
    shown = desk.post("/office/417/quotes/1/link", "/office/417/quotes/1").content.decode()
    [token] = set(re.findall(r"/q/([\w-]{22})", shown))
    client.logout()
    client.post(f"/q/{token}", {"who": "Ann", "every": "proposed"})
    assert QuoteLink.objects.filter(digest=links.digest_of(token)).exists()
    stored = io.StringIO()
    call_command("dumpdata", stdout=stored)
    assert token not in stored.getvalue()
    assert asked.token not in stored.getvalue()


def test_the_code_on_the_handed_out_paper_opens_the_page(quoted, desk):
    asked = quoted(1)
    answered = desk.client.post("/office/417/quotes/1/print", {"link": asked.token})
    image = pypdfium2.PdfDocument(answered.content)[0].render(scale=200 / 72).to_pil()
    read = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
    assert [code.text for code in read] == [links.address_of(asked.token)]
    assert answered["Cache-Control"] == "no-store"
    assert desk.client.post("/office/417/quotes/1/print", {"link": links.new_token()}).status_code == 422


def test_the_log_has_no_link(quoted, client, caplog):
    asked = quoted(1)
    client.get(asked.where)
    answer(client, asked)  # 422
    client.delete(asked.where)  # 405
    client.get(f"/q/{links.new_token()}")
    lines = [OneLine().format(record) for record in caplog.records if AddContext().filter(record)]
    assert len([line for line in lines if "/q/…" in line]) == 3
    assert asked.token not in "".join(lines)


def test_a_note_stands_once_and_html_in_names_and_notes_stays_text(quoted, client, desk):
    asked = quoted(2)
    first, second = asked.rows
    ways = {f"piece_{first.pk}": "scrap", f"piece_{second.pk}": asked.way("end")}
    client.post(
        asked.where, {"who": "<b>Ann</b>", "note": "<script>alert(1)</script>; soon", "every": "", **SURE, **ways}
    )
    for page in (client.get(asked.where), desk.get("/office/417/quotes/1"), desk.get("/bench/417-1/plan")):
        text = page.content.decode()
        assert "<b>Ann" not in text
        assert "<script>alert" not in text
    shown = client.get(asked.where).content.decode()
    assert shown.count("Your note: &lt;script&gt;alert(1)&lt;/script&gt;; soon") == 1
    assert "grind end, 12.00 USD each" in shown


def test_a_note_that_is_too_long_is_said_and_nothing_is_answered(quoted, client):
    asked = quoted(1)
    refused = client.post(asked.where, {"who": "Ann", "note": "x" * 301, f"item_{asked.items[0].pk}": "scrap"})
    assert refused.status_code == 422
    assert "x" * 301 in refused.content.decode()
    assert asked.states() == ["waiting"]


def test_who_answered_by_the_link_is_named_where_a_person_would_be(quoted, client, front_desk, bench_hand):
    asked = quoted(1)
    answer(client, asked, **{f"item_{asked.items[0].pk}": asked.way("end")})
    answering = Event.objects.get(kind="answered")
    assert (answering.by, answering.who) == (None, "Ann Lund, by the link")
    client.force_login(bench_hand)
    line, piece = reverse("bench:line", args=["417-1"]), reverse("bench:piece", args=["417-1-1"])
    for where in (line, piece, f"/event/{answering.pk}/undo"):
        page = client.get(where).content.decode()
        assert "Ann Lund, by the link" in page, where
        assert not re.search(r"\bNone\b", page), where


def test_no_page_prints_the_person_of_an_event_that_may_have_none():
    """`who` names whoever acted; `by` is None of a customer and of the program."""
    own_person = {"office/_issued_row.html", "office/quotes/_answered.html"}  # never None; said only where there is one
    folder = Path(settings.BASE_DIR) / "templates"
    pages = {str(page.relative_to(folder)) for page in folder.rglob("*.html") if re.search(r"\.by\b", page.read_text())}
    assert pages == own_person


def test_an_answer_is_read_once_more_before_it_is_sent(quoted, client):
    asked = quoted(2, 1)
    first = asked.items[0]
    chosen = {f"item_{first.pk}": asked.way("end"), "note": "soon please"}
    summary = answer(client, asked, sure={}, **chosen)
    page = summary.content.decode()
    assert summary.status_code == 200
    for said in ("Is this right?", "Grind end, 12.00 USD each", "(1-1, 1-2)", "Left open", "2-1", "soon please"):
        assert said in page
    assert "scrap_sure" not in page
    assert set(asked.states()) == {"waiting"}
    back = answer(client, asked, sure={"back": "on"}, **chosen)
    assert re.search(rf'value="{asked.way("end")}"[^>]*checked', back.content.decode())
    assert set(asked.states()) == {"waiting"}
    hidden = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', page))
    assert client.post(asked.where, {**hidden, "sure": "on"}).status_code == 302
    assert asked.states() == ["ready_to_grind", "ready_to_grind", "waiting"]


def test_scrap_needs_a_tick_of_its_own(quoted, client):
    asked = quoted(2)
    refused = answer(client, asked, sure={"sure": "on"}, every="scrap")
    assert refused.status_code == 422
    assert "Tick this, or change your answer." in refused.content.decode()
    assert asked.states() == ["waiting", "waiting"]
    assert answer(client, asked, every="scrap").status_code == 302
    assert asked.states() == ["released", "released"]
