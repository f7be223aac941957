"""The outbox: received whole by a mail server, marked before it is sent, and never sent twice by itself."""

import re
import smtplib
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.utils import timezone

from regrind.office.mail.queueing import close_mail, queue_mail, send_again
from regrind.office.mail.sending import MOST_TRIES, WAITS_MIN, send_one, send_waiting
from regrind.office.mail_models import SENDING_TAKES, Mail
from regrind.office.quotes.links import find_link
from regrind.record.contacts import contacts_of, keep_contact, remove_entry
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import ShopSettings

from .quotes import quoted
from .smtp_server import body_of, mail_server

__all__ = ["quoted"]
pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db):
    return ShopSettings.objects.create(name="Kerf & Land", mail="desk@kerf.example", phone="555-0147")


@pytest.fixture
def batch(shop, make_batch, customer, owner):
    keep_contact(by=owner, customer=customer, name="Ann Lund", mail="ann@brookfield.example")
    return make_batch(1, number=417)


def queue(batch, by, **more) -> Mail:
    return queue_mail(by=by, kind="received", batch=batch, **more)


def state(mail: Mail) -> str:
    return Mail.objects.get(pk=mail.pk).state


def test_a_mail_arrives_whole_in_plain_text_and_html(batch, front_desk, settings):
    with mail_server(settings) as server:
        mail = queue(batch, front_desk)
        assert send_waiting() == 1
    [got] = server.mails
    assert (got["To"], got["Message-ID"]) == ("ann@brookfield.example", mail.message_id)
    assert got["From"] == "Kerf & Land <desk@kerf.example>"
    assert got["Subject"] == "Kerf & Land: Your box is here, batch 417"
    assert body_of(got).startswith("Dear Ann Lund,\n\nWe received your box. Its number here is 417.")
    assert "<p>Kerf &amp; Land<br>Telephone 555-0147<br>desk@kerf.example</p>" in body_of(got, "html")
    assert state(mail) == "sent"


def test_it_is_sent_once_however_often_the_command_runs(batch, front_desk, settings):
    with mail_server(settings) as server:
        mail = queue(batch, front_desk)
        for _ in range(3):
            call_command("mail")
        assert send_one(mail.pk) is False
    assert len(server.mails) == 1


@pytest.mark.parametrize(("breaks", "ends"), [("recipient", "failed"), ("data", "failed"), ("after data", "doubt")])
def test_what_the_server_refuses_failed_and_what_broke_off_is_in_doubt(batch, front_desk, settings, breaks, ends):
    with mail_server(settings, breaks) as server:
        mail = queue(batch, front_desk)
        send_waiting()
        send_waiting()
    assert state(mail) == ends
    assert len(server.mails) == (0 if breaks == "recipient" else 1)  # never tried a second time
    assert Mail.objects.get(pk=mail.pk).fault


def test_a_server_that_cannot_be_reached_is_tried_again_and_then_given_up(batch, front_desk, settings):
    with mail_server(settings):
        pass  # its port is free again: nobody listens there
    mail = queue(batch, front_desk)
    states = []
    for _ in range(MOST_TRIES):
        send_waiting()
        send_waiting()  # at once, it is not time yet
        states.append(state(mail))
        Mail.objects.update(changed_at=timezone.now() - timedelta(hours=1))
    assert states == ["waiting"] * (MOST_TRIES - 1) + ["failed"]
    with mail_server(settings) as server:
        send_waiting()
    assert server.mails == []


def test_a_server_that_asks_for_patience_gets_it_again_later(batch, front_desk, settings):
    with mail_server(settings, "later") as server:
        mail = queue(batch, front_desk)
        send_waiting()
        assert (state(mail), server.mails) == ("waiting", [])
        assert "451 come again" in Mail.objects.get(pk=mail.pk).fault
        server.breaks = ""
        Mail.objects.update(changed_at=timezone.now() - timedelta(minutes=WAITS_MIN[1]))
        send_waiting()
    assert (state(mail), len(server.mails)) == ("sent", 1)


def test_of_two_addresses_one_is_refused_and_that_is_said(batch, front_desk, settings, customer):
    keep_contact(by=front_desk, customer=customer, name="Bo", mail="gone@brookfield.example", for_ready=True)
    keep_contact(by=front_desk, customer=customer, name="Cy", mail="cy@brookfield.example", for_ready=True)
    with mail_server(settings, "gone@brookfield.example") as server:
        mail = queue(batch, front_desk)
        send_waiting()
    fault = Mail.objects.get(pk=mail.pk).fault
    assert fault == "refused for gone@brookfield.example: 550 no such mailbox; the others have it"
    assert (state(mail), len(server.mails)) == ("failed", 1)


def test_a_refused_address_is_on_today_with_customer_and_reason_and_can_be_corrected(batch, front_desk, settings, desk):
    with mail_server(settings, "recipient"):
        mail = queue(batch, front_desk)
        send_waiting()
    today = desk.get("/").content.decode()
    assert "the mail server refused ann@brookfield.example: 550 no such mailbox" in today
    assert f'href="/receiving/customers/{batch.customer_id}"' in today
    [contact] = contacts_of(batch.customer)
    keep_contact(
        by=front_desk, customer=batch.customer, number=contact.number, name="Ann Lund", mail="ann@brookfield.test"
    )
    with mail_server(settings) as server:
        desk.post(f"/office/mail/{mail.pk}", "/office/mail", do="again")
        send_waiting()
    assert [got["To"] for got in server.mails] == ["ann@brookfield.test"]
    assert "did not get through" not in desk.get("/").content.decode()


def test_after_a_kill_it_may_have_gone_and_a_person_decides(batch, front_desk, settings, monkeypatch, desk):
    def killed(*_):
        raise KeyboardInterrupt

    with mail_server(settings) as server:
        mail = queue(batch, front_desk)
        with monkeypatch.context() as patch:
            patch.setattr(smtplib.SMTP, "sendmail", killed)
            with pytest.raises(KeyboardInterrupt):
                send_waiting()
        assert state(mail) == "sending"
        send_waiting()
        Mail.objects.update(changed_at=timezone.now() - SENDING_TAKES - timedelta(seconds=1))
        assert "may have gone" in desk.get("/").content.decode()
        send_waiting()
        assert (state(mail), server.mails) == ("doubt", [])
        again = send_again(by=front_desk, mail=Mail.objects.get(pk=mail.pk))
        assert again.message_id != mail.message_id
        send_waiting()
    assert len(server.mails) == 1
    assert (state(mail), state(again)) == ("closed", "sent")
    assert "may have gone" not in desk.get("/").content.decode()


def test_the_desk_decides_once_about_a_mail_that_failed(batch, front_desk, settings, desk):
    with mail_server(settings, "recipient"):
        mail = queue(batch, front_desk)
        send_waiting()
    desk.post(f"/office/mail/{mail.pk}", "/office/mail", do="arrived")
    assert state(mail) == "sent"
    with pytest.raises(Conflict, match="This mail has changed: sent"):
        close_mail(by=front_desk, mail=mail, arrived=False)


def test_a_quotes_mail_brings_its_link_and_its_paper_and_no_row_holds_the_link(
    quoted, shop, settings, desk, customer, owner
):
    asked = quoted(1)
    keep_contact(by=owner, customer=customer, mail="ann@brookfield.example")
    with mail_server(settings) as server:
        sent = desk.post("/office/417/mail", "/office/417/mail?kind=quote", kind="quote")
        assert sent["Location"] == "/office/417/mail"
        call_command("mail")
    [got] = server.mails
    [token] = re.findall(r"https://tools\.example/q/([\w-]{22})", body_of(got))
    assert find_link(token).quote == asked.quote
    assert f'href="https://tools.example/q/{token}"' in body_of(got, "html")
    [paper] = got.iter_attachments()
    assert (paper.get_filename(), paper.get_content()[:5]) == ("quote-417_1.pdf", b"%PDF-")
    assert token not in str(list(Mail.objects.values()))
    assert "sent" in desk.get("/office/417/mail").content.decode()
    assert find_link(asked.token) is None  # the mail's link is the one that holds


def test_a_quotes_mail_that_did_not_go_leaves_no_open_link(quoted, shop, settings, front_desk):
    asked = quoted(1)
    keep_contact(by=front_desk, customer=asked.batch.customer, mail="ann@brookfield.example")
    with mail_server(settings, "recipient"):
        mail = queue_mail(by=front_desk, kind="quote", batch=asked.batch, quote=asked.quote)
        send_waiting()
    assert state(mail) == "failed"
    assert not asked.quote.links.filter(revoked=None).exists()


def test_the_owner_tests_the_mail_server_by_a_button(shop, settings, owner, desk):
    desk.client.force_login(owner)
    with mail_server(settings) as server:
        desk.post("/office/mail/test", "/office/mail")
    assert [mail["To"] for mail in server.mails] == ["desk@kerf.example"]
    assert "sent" in desk.get("/office/mail").content.decode()


def test_without_a_server_or_an_address_nothing_is_queued(batch, front_desk, settings):
    settings.EMAIL_HOST = ""
    with pytest.raises(Refusal, match="No mail server is set"):
        queue(batch, front_desk)
    settings.EMAIL_HOST = "smtp.example"
    [ann] = contacts_of(batch.customer)
    remove_entry(by=front_desk, entry=ann)
    with pytest.raises(Refusal, match="has no mail address"):
        queue(batch, front_desk)
    assert not Mail.objects.exists()


def test_each_kind_of_mail_goes_to_whoever_is_ticked_for_it_in_one_mail(batch, settings, front_desk, desk):
    for name, ticked in (("bea", {}), ("cy", {"for_ready": True}), ("dee", {"for_ready": True, "for_quotes": True})):
        keep_contact(by=front_desk, customer=batch.customer, name=name, mail=f"{name}@b.example", **ticked)
    with mail_server(settings) as server:
        mail = queue(batch, front_desk)
        send_waiting()
    [sent] = server.mails
    assert sent["To"] == mail.to == "cy@b.example, dee@b.example"
    assert body_of(sent).startswith("Dear cy, dear dee,")
    page = desk.get("/office/417/mail").content.decode()
    assert "ready to cy@b.example, dee@b.example" in page
    assert "quotes to dee@b.example" in page


def test_a_box_without_a_quote_has_none_to_mail(batch, settings, desk):
    settings.EMAIL_HOST = "smtp.example"
    refused = desk.post("/office/417/mail", "/office/417/mail", kind="quote")
    assert refused.status_code == 422
    assert "This box has no quote yet" in refused.content.decode()


def test_no_line_break_makes_a_header(batch, front_desk, settings):
    batch.order_number = "PO-1\r\nBcc: everybody@elsewhere.example"
    with mail_server(settings) as server:
        mail = queue(batch, front_desk)
        send_waiting()
    assert server.mails == []
    assert (state(mail), Mail.objects.get(pk=mail.pk).fault[:20]) == ("failed", "it cannot be written")


def test_what_a_mail_says_is_read_before_and_after_it_is_queued(batch, front_desk, desk, settings):
    settings.EMAIL_HOST = "smtp.example"
    before = desk.get("/office/417/mail").content.decode()
    assert "Kerf &amp; Land: Your tools are ready, batch 417" in before
    assert "The tools of batch 417 are ready." in before
    assert "please tell us what to do" not in before  # there is no quote
    Mail.objects.all().delete()
    mail = queue(batch, front_desk)
    Mail.objects.filter(pk=mail.pk).update(text="Hello, as it was queued.\n\n{link}")
    after = desk.get("/office/417/mail").content.decode()
    assert "Hello, as it was queued." in after
    assert "{link}" not in after


def test_without_an_address_the_page_leads_to_the_customer_and_offers_no_mail(shop, make_batch, desk, settings):
    settings.EMAIL_HOST = "smtp.example"
    batch = make_batch(1, number=417)
    page = desk.get("/office/417/mail").content.decode()
    assert "Send this mail" not in page
    assert f'href="/receiving/customers/{batch.customer_id}"' in page
