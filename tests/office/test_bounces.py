"""Mails that came back: as somebody says, and as a delivery report says.

The report is the first example of RFC 3464 (appendix E.1, "A simple DSN"), its returned mail written out.
"""

import io
import sys

import pytest
from django.core.management import call_command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from regrind.office.mail.bounces import mark_bounced, note_report, read_report
from regrind.office.mail.queueing import queue_mail
from regrind.office.mail.sending import send_waiting
from regrind.office.mail_models import Mail
from regrind.record.contacts import keep_contact
from regrind.shop.events import Conflict
from regrind.shop.models import ShopSettings

from .smtp_server import mail_server

DSN = """Date: Thu, 7 Jul 1994 17:16:05 -0400
From: Mail Delivery Subsystem <MAILER-DAEMON@CS.UTK.EDU>
Message-Id: <199407072116.RAA14128@CS.UTK.EDU>
Subject: Returned mail: Cannot send message for 5 days
To: <owner-info-mime@cs.utk.edu>
MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status;
      boundary="RAA14128.773615765/CS.UTK.EDU"

--RAA14128.773615765/CS.UTK.EDU

The original message was received at Sat, 2 Jul 1994 17:10:28 -0400
from root@localhost

   ----- The following addresses had delivery problems -----
<louisl@larry.slip.umd.edu>  (unrecoverable error)

----- Transcript of session follows -----
<louisl@larry.slip.umd.edu>... Deferred: Connection timed out
      with larry.slip.umd.edu.
Message could not be delivered for 5 days
Message will be deleted from queue

--RAA14128.773615765/CS.UTK.EDU
content-type: message/delivery-status

Reporting-MTA: dns; cs.utk.edu

Original-Recipient: rfc822;louisl@larry.slip.umd.edu
Final-Recipient: rfc822;louisl@larry.slip.umd.edu
Action: failed
Status: 4.0.0
Diagnostic-Code: smtp; 426 connection timed out
Last-Attempt-Date: Thu, 7 Jul 1994 17:15:49 -0400

--RAA14128.773615765/CS.UTK.EDU
content-type: message/rfc822

{returned}

--RAA14128.773615765/CS.UTK.EDU--
"""
WHY = "louisl@larry.slip.umd.edu: 426 connection timed out"


@pytest.fixture
def sent(db, make_batch, customer, owner, front_desk, settings):
    ShopSettings.objects.create(name="Kerf & Land", mail="desk@kerf.example")
    keep_contact(by=owner, customer=customer, name="Ann Lund", mail="louisl@larry.slip.umd.edu")
    with mail_server(settings):
        mail = queue_mail(by=front_desk, kind="received", batch=make_batch(1, number=417), quote=None)
        send_waiting()
    return Mail.objects.get(pk=mail.pk)


def report_on(mail: Mail, text: str = DSN) -> bytes:
    return text.replace("{returned}", f"Message-ID: {mail.message_id}\nSubject: x\n\nHello").encode()


def test_the_example_of_the_rfc_marks_its_mail(sent, desk):
    noted = note_report(report_on(sent))
    assert (noted, noted.state, noted.fault) == (sent, "bounced", WHY)
    today = desk.get("/").content.decode()
    assert f"came back: {WHY}" in today
    assert "Brookfield Tooling" in today
    assert note_report(report_on(sent)) is None  # told twice, it is noted once


def test_headers_alone_are_enough(sent):
    assert note_report(report_on(sent, DSN.replace("message/rfc822", "text/rfc822-headers"))) == sent


def test_the_command_reads_a_report_from_its_input(sent, monkeypatch, capsys):
    class Input:
        buffer = io.BytesIO(report_on(sent))

    monkeypatch.setattr(sys, "stdin", Input)
    call_command("mail", "--bounce")
    assert f"came back: {WHY}" in capsys.readouterr().out
    Input.buffer = io.BytesIO(b"Subject: lunch\n\nAt noon?")
    call_command("mail", "--bounce")
    assert "nothing is changed" in capsys.readouterr().out


@pytest.mark.parametrize(
    "text",
    [DSN.replace("Action: failed", "Action: delayed"), DSN.replace("delivery-status\n\n", "plain\n\n"), "", "\0"],
)
def test_what_reports_no_failure_changes_nothing(sent, text):
    assert note_report(report_on(sent, text)) is None
    assert Mail.objects.get(pk=sent.pk).state == "sent"


def test_a_report_on_a_mail_of_somebody_else_changes_nothing(sent):
    foreign = Mail(message_id="<other@elsewhere.example>")
    assert note_report(report_on(foreign)) is None


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=400), st.integers(0, len(DSN)))
def test_spoilt_reports_are_read_without_a_failure(noise, place):
    content = DSN.encode()
    spoilt = content[:place] + noise + content[place + len(noise) :]
    report = read_report(spoilt)
    assert report is None or report.message_id


def test_a_person_says_that_a_mail_came_back_and_sends_it_again(sent, desk, front_desk):
    assert "It came back" in desk.get("/office/417/mail").content.decode()
    desk.post(f"/office/mail/{sent.pk}", "/office/mail", do="bounced")
    assert Mail.objects.get(pk=sent.pk).words == "came back: as Fay says"
    with pytest.raises(Conflict, match="This mail has changed: came back"):
        mark_bounced(by=front_desk, mail=sent, why="again")
    desk.post(f"/office/mail/{sent.pk}", "/office/mail", do="again")
    assert list(Mail.objects.order_by("pk").values_list("state", flat=True)) == ["closed", "waiting"]
