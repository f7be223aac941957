"""Reminders of quotes: one, when the shop's days are over, and none where there is nothing to be reminded of."""

import re
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.utils import timezone

from regrind.office.mail.bounces import mark_bounced
from regrind.office.mail.queueing import queue_mail
from regrind.office.mail.reminding import queue_reminders
from regrind.office.mail.sending import send_waiting
from regrind.office.mail_models import Mail
from regrind.office.quotes.making import make_quote, revoke_links
from regrind.record.contacts import keep_contact
from regrind.shop.models import ShopSettings

from .conftest import pieces_of
from .quotes import quoted
from .smtp_server import body_of, mail_server
from .test_quote_link import answer, look_again

__all__ = ["quoted"]
pytestmark = pytest.mark.django_db
DAYS = 7


@pytest.fixture
def server(settings):
    with mail_server(settings) as running:
        yield running


@pytest.fixture
def mailed(quoted, customer, server, owner, front_desk):
    """A quote whose mail went, and a shop that reminds after seven days."""
    ShopSettings.objects.create(name="Kerf & Land", mail="desk@kerf.example", remind_days=DAYS)
    keep_contact(by=owner, customer=customer, name="Ann Lund", mail="ann@brookfield.example")
    asked = quoted(2)
    queue_mail(by=front_desk, kind="quote", batch=asked.batch, quote=asked.quote)
    send_waiting()
    return asked


def let_days_pass(days: float = DAYS) -> None:
    Mail.objects.filter(kind="quote").update(changed_at=timezone.now() - timedelta(days=days))


def reminders() -> int:
    return Mail.objects.filter(kind="reminder").count()


def link_in(mail) -> str:
    [link] = re.findall(r"https://tools\.example(/q/[\w-]{22})", body_of(mail))
    return link


def test_one_reminder_goes_when_the_days_are_over_and_no_second(mailed, server):
    let_days_pass(DAYS - 0.01)
    call_command("mail")
    assert reminders() == 0
    let_days_pass()
    for _ in range(3):
        call_command("mail")
        let_days_pass(30)
    assert [mail["Subject"] for mail in server.mails[1:]] == [
        "Kerf & Land: Reminder: quote 417/1 waits for your answer"
    ]
    assert "The link of our first mail opens the same page." in body_of(server.mails[1])


def test_both_links_open_the_page_and_revoking_ends_both(mailed, server, client, front_desk):
    let_days_pass()
    call_command("mail")
    links = [link_in(mail) for mail in server.mails]
    assert len(set(links)) == 2
    assert [client.get(link).status_code for link in links] == [200, 200]
    revoke_links(by=front_desk, quote=mailed.quote)
    assert [client.get(link).status_code for link in links] == [404, 404]


def test_a_reminder_that_does_not_go_leaves_the_first_link_open(mailed, server, client):
    let_days_pass()
    server.breaks = "recipient"
    call_command("mail")
    assert Mail.objects.get(kind="reminder").state == "failed"
    assert client.get(link_in(server.mails[0])).status_code == 200
    assert mailed.quote.links.filter(revoked=None).count() == 1


def test_a_quote_that_is_answered_in_part_is_still_reminded_of(mailed, server, client):
    client.post(link_in(server.mails[0]), {"who": "Ann", f"piece_{mailed.rows[0].pk}": "scrap"})
    let_days_pass()
    assert queue_reminders() == 1


def answered(mailed, server, client, **_):
    mailed.token = link_in(server.mails[0]).removeprefix("/q/")
    answer(client, mailed, every="scrap")


def void(mailed, look, **_):
    look_again(look, pieces_of(mailed.batch.lines.get())[0])


def replaced(mailed, front_desk, **_):
    make_quote(by=front_desk, batch=mailed.batch)


def revoked(mailed, front_desk, **_):
    revoke_links(by=front_desk, quote=mailed.quote)


def expired(mailed, monkeypatch, **_):
    later = timezone.now() + timedelta(days=40)
    monkeypatch.setattr(timezone, "now", lambda: later)


def came_back(front_desk, **_):
    mark_bounced(by=front_desk, mail=Mail.objects.get(), why="no such mailbox")


def by_hand(mailed, front_desk, **_):
    queue_mail(by=front_desk, kind="reminder", batch=mailed.batch, quote=mailed.quote)


def never(**_):
    ShopSettings.objects.update(remind_days=None)


def no_server(settings, **_):
    settings.EMAIL_HOST = ""


@pytest.mark.parametrize("why", [answered, void, replaced, revoked, expired, came_back, by_hand, never, no_server])
def test_nobody_is_reminded_where(why, mailed, server, client, look, front_desk, monkeypatch, settings):
    let_days_pass()
    before = Mail.objects.filter(kind="reminder").count()
    why(
        mailed=mailed,
        server=server,
        client=client,
        look=look,
        front_desk=front_desk,
        monkeypatch=monkeypatch,
        settings=settings,
    )
    made_by_hand = 1 if why is by_hand else 0
    assert queue_reminders() == 0
    assert reminders() == before + made_by_hand


def test_the_owner_sets_the_days_and_a_wrong_number_is_said(mailed, owner, desk):
    desk.client.force_login(owner)
    page = desk.get("/shop/settings").content.decode()
    assert re.search(r'name="remind_days"[^>]*value="7"', page)
