"""The log: one line each, in UTC, with address, person and event; sign-ins are in it, what was typed is not."""

import errno
import logging
import re
import sys

import pytest
import time_machine
from django.urls import reverse
from django.utils.module_loading import import_string

from regrind import log
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event

LINE = re.compile(
    r"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z) (\w+) (regrind\.\w+) (\S+) person (\S+) event (\S+) (.*)", re.DOTALL
)


@pytest.fixture
def lines():
    """What a handler with the program's formatter writes meanwhile, each line parted."""
    written = []

    class Collect(logging.Handler):
        def emit(self, record):
            written.append(self.format(record))

    handler = Collect()
    handler.setFormatter(log.OneLine())
    handler.addFilter(log.AddContext())
    logging.getLogger("regrind").addHandler(handler)
    yield lambda: [LINE.fullmatch(line).groups() for line in written]
    logging.getLogger("regrind").removeHandler(handler)


def sign_in(client, password="a long password", name="Bea"):
    return client.post("/shop/sign-in", {"name": name, "password": password}, REMOTE_ADDR="192.168.1.20")


@pytest.mark.django_db
def test_a_sign_in_and_its_end_are_logged_with_address_and_person(client, bench_hand, lines):
    sign_in(client)
    client.post(reverse("shop:sign_out"), REMOTE_ADDR="192.168.1.20")
    who = ("192.168.1.20", str(bench_hand.pk), "-")
    assert [line[1:] for line in lines()] == [
        ("INFO", "regrind.sign_in", *who, "signed in by password"),
        ("INFO", "regrind.sign_in", *who, "session ended: signed out"),
    ]


@pytest.mark.django_db
def test_a_refused_sign_in_is_logged_without_what_was_typed(client, bench_hand, lines):
    sign_in(client, "hunter22222")
    sign_in(client, "x", name="my secret password")
    texts = [line[6] for line in lines()]
    assert texts == [
        f"sign-in refused: wrong password of person {bench_hand.pk}",
        "sign-in refused: unknown name",
    ]
    assert "secret" not in repr(lines())
    assert "hunter" not in repr(lines())


@pytest.mark.django_db
def test_tries_beyond_the_limit_do_not_fill_the_log(client, bench_hand, lines):
    for _ in range(40):
        sign_in(client, "wrong")
    assert [line[6] for line in lines()].count(f"sign-in refused: wrong password of person {bench_hand.pk}") == 5
    assert len(lines()) == 6
    assert any("limit of tries reached for a name" in line[6] for line in lines())


@pytest.mark.django_db
def test_an_event_is_logged_with_its_id_once_it_is_saved_and_a_refused_one_is_not(bench_hand, lines):
    log.begin_request("")
    with event(bench_hand, "test"):
        pass
    saved = Event.objects.get()
    assert [line[5:] for line in lines()] == [(str(saved.pk), "test")]
    with pytest.raises(Refusal), event(bench_hand, "test"):
        raise Refusal("no")
    assert len(lines()) == 1


@pytest.mark.django_db
def test_a_saved_form_is_logged_with_address_person_and_event(client, owner, lines):
    client.force_login(owner)
    new = {"name": "Cem", "password": "a long password", "bench": "on", "once": "k"}
    assert client.post(reverse("shop:people"), new, REMOTE_ADDR="10.0.0.7").status_code == 302
    saved = Event.objects.get()
    assert [line[2:] for line in lines()] == [("regrind.event", "10.0.0.7", str(owner.pk), str(saved.pk), "account")]
    client.logout()
    client.get("/shop/sign-in", REMOTE_ADDR="10.0.0.8")
    logging.getLogger("regrind.test").info("another request")
    assert lines()[-1][3:6] == ("10.0.0.8", "-", "-")  # nothing of the one before


@pytest.mark.django_db
def test_a_page_of_another_role_is_logged(client, bench_hand, caplog):
    client.force_login(bench_hand)
    assert client.get(reverse("shop:people")).status_code == 403
    assert "Forbidden (Permission denied): /shop/people" in caplog.text


def logged_by_django(level: int) -> str:
    try:
        raise PermissionError("front desk")
    except PermissionError:
        made = logging.LogRecord("django.request", level, "", 0, "Forbidden: /office/", (), sys.exc_info())
    for name in log.settings_of_log("WARNING", "")["handlers"]["console"]["filters"]:
        import_string(log.settings_of_log("WARNING", "")["filters"][name]["()"])().filter(made)
    return log.OneLine().format(made)


def test_a_refused_request_is_one_line_and_a_failure_of_the_program_brings_its_traceback():
    assert len(logged_by_django(logging.WARNING).splitlines()) == 1
    assert "PermissionError: front desk" in logged_by_django(logging.ERROR)


def record(message):
    made = logging.LogRecord("regrind.test", logging.INFO, "", 0, message, (), None)
    log.AddContext().filter(made)
    return log.OneLine().format(made)


def test_times_are_utc_whatever_the_zone_of_the_machine(monkeypatch):
    import time

    monkeypatch.setenv("TZ", "Pacific/Auckland")
    time.tzset()
    try:
        with time_machine.travel("2026-07-01T12:00:00.250Z", tick=False):
            assert record("x").startswith("2026-07-01T12:00:00.250Z INFO")
            assert time.strftime("%H") == "00"  # the machine's own clock says another hour
    finally:
        monkeypatch.delenv("TZ")
        time.tzset()


def test_nobody_sends_a_line_of_their_own():
    forged = "x\n2026-01-01T00:00:00.000Z INFO regrind.sign_in 1.2.3.4 person 1 event - signed in\x1b[2J\u2028y"
    lines = record(forged).split("\n")
    assert [bool(LINE.fullmatch(line)) for line in lines] == [True, False, False]
    assert all(line.startswith("    ") for line in lines[1:])
    assert "\x1b" not in "".join(lines)


def test_the_file_turns_over_and_takes_a_bounded_room(tmp_path, monkeypatch):
    monkeypatch.setattr(log, "MOST_BYTES", 2_000)
    made = log.settings_of_log("WARNING", str(tmp_path / "logs" / "regrind.log"))["handlers"]["file"]
    assert made.pop("class") == "regrind.log.LogFile"
    made.pop("filters"), made.pop("formatter")
    handler = log.LogFile(**made)
    for n in range(2_000):
        handler.emit(logging.LogRecord("x", logging.INFO, "", 0, f"line {n} " + "x" * 60, (), None))
    handler.close()
    files = sorted(path.name for path in (tmp_path / "logs").iterdir())
    assert files == ["regrind.log", *(f"regrind.log.{n}" for n in range(1, log.OLD_FILES + 1))]
    assert sum(path.stat().st_size for path in (tmp_path / "logs").iterdir()) < 2_000 * (log.OLD_FILES + 1)
    assert "line 1999 " in (tmp_path / "logs" / "regrind.log").read_text()


@pytest.mark.drill("disk full")
def test_a_full_disk_is_said_once_and_a_fault_of_a_line_brings_its_traceback(tmp_path, monkeypatch, capsys):
    handler = log.LogFile(tmp_path / "regrind.log", delay=True)

    def fill_up(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(handler, "shouldRollover", fill_up)
    for _ in range(3):
        handler.handle(logging.LogRecord("x", logging.INFO, "", 0, "line", (), None))
    printed = capsys.readouterr().err
    assert printed.count("cannot be written: No space left on device.") == 1
    assert "Traceback" not in printed
    monkeypatch.undo()
    handler.handle(logging.LogRecord("x", logging.INFO, "", 0, "%d", ("no number",), None))
    assert "Traceback" in capsys.readouterr().err


def test_without_a_file_the_console_gets_warnings_alone():
    made = log.settings_of_log("WARNING", "")
    assert list(made["handlers"]) == ["console"]
    assert made["handlers"]["console"]["level"] == "WARNING"
