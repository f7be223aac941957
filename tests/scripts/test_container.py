"""The container's files agree with the repository and hold no secret. (No container is built here.)"""

import http.server
import os
import re
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from regrind.settings_file import SETTINGS
from scripts import environment
from scripts.container import health

ROOT = Path(environment.__file__).resolve().parent.parent
COMPOSE = (ROOT / "docker-compose.yml").read_text()
DOCKERFILE = (ROOT / "Dockerfile").read_text()


def copied():
    """Every path that the Dockerfile copies from the repository."""
    return [name for line in re.findall(r"^COPY (.+)$", DOCKERFILE, re.M) for name in line.split()[:-1]]


def test_everything_that_is_copied_exists():
    assert len(copied()) >= 5
    assert [name for name in copied() if not (ROOT / name).exists()] == []


def test_the_builder_is_sent_everything_that_is_copied_and_nothing_else():
    lines = (ROOT / ".dockerignore").read_text().splitlines()
    sent = {line.removeprefix("!") for line in lines if line.startswith("!")}
    assert "*" in lines
    assert sent == set(copied())


def test_the_packages_are_the_locked_ones_and_the_user_is_not_root():
    assert "--require-hashes --no-deps -r requirements/runtime.txt -r requirements/postgres.txt" in DOCKERFILE
    assert re.findall(r"^USER (.+)$", DOCKERFILE, re.M) == ["regrind"]
    assert DOCKERFILE.index("USER regrind") > DOCKERFILE.index("collectstatic")


def test_the_client_tools_are_of_the_servers_version():
    server = re.search(r"image: postgres:(\d+)", COMPOSE).group(1)
    assert re.search(r"postgresql-client-(\d+)", DOCKERFILE).group(1) == server


@pytest.mark.parametrize("name", ["POSTGRES_PASSWORD", "REGRIND_SECRET", "REGRIND_HOSTS"])
def test_a_secret_must_be_given_and_has_no_default(name):
    uses = re.findall(r"\$\{" + name + r"([^}]*)\}", COMPOSE)
    assert uses
    assert all(use.startswith(":?") for use in uses)


def test_no_password_is_written_in_the_file():
    values = re.findall(r"^ *\w*(?:PASSWORD|SECRET)\w*: (.+)$", COMPOSE, re.M)
    assert values
    assert all(value.startswith("${") for value in values)


def test_the_database_is_brought_up_to_date_and_checked_before_the_first_request():
    script = (ROOT / "scripts/container/enter.sh").read_text()
    positions = [
        script.index(command)
        for command in (
            "umask 077",
            "backup --before-update",
            "migrate",
            "recount --if-empty",
            "check_database",
            "backup --if-due",
            'exec "$@"',
        )
    ]
    assert positions == sorted(positions)
    assert "set -e" in script


class Page(http.server.BaseHTTPRequestHandler):
    def do_GET(self):
        known = self.headers["Host"] == "tools.example" and self.headers["X-Forwarded-Proto"] == "https"
        self.send_response(200 if known else 400)
        self.end_headers()

    def log_message(self, *words):
        pass


def test_the_health_check_asks_as_the_proxy_would(monkeypatch):
    server = http.server.HTTPServer(("127.0.0.1", 0), Page)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    monkeypatch.setenv("REGRIND_HOSTS", "tools.example,other.example")
    assert health.ask(server.server_address[1]) == 200
    monkeypatch.setenv("REGRIND_HOSTS", "other.example")
    assert health.ask(server.server_address[1]) == 400
    server.shutdown()
    server.server_close()


def test_backups_lie_on_a_volume_of_their_own_that_the_image_makes():
    assert re.search(r"^ENV .*REGRIND_BACKUPS=/backups$", DOCKERFILE, re.M)
    assert re.search(r"install -d -m 0700 -o regrind -g regrind /data /backups$", DOCKERFILE, re.M)
    assert re.search(r"^ +- \$\{BACKUPS:-backups\}:/backups$", COMPOSE, re.M)
    assert re.search(r"^  backups:$", COMPOSE, re.M)


PYTHON = """#!/bin/sh
case "$1" in -c) exec "$REAL_PYTHON" "$@";; esac
echo "$@" >> "$ASKED"
case "$*" in
    *--if-due | *mail) exit 1;;
    *migrate*) [ -z "$STOPPED" ] || { kill -TERM $PPID; /bin/sleep 0.2; echo migrated >> "$ASKED"; };;
esac
"""
SLEEP = "#!/bin/sh\nexec /bin/sleep 0.01\n"
PREPARE = [
    "manage.py backup --before-update",
    "manage.py migrate --noinput --verbosity=1",
    "manage.py recount --if-empty",
    "manage.py check_database",
]


def enter(folder, last="if-due", **environment):
    """enter.sh itself, with stand-ins for python and sleep; how it ended, and what it asked of python.

    Its server runs until `last` was asked for three times.
    """
    for name, text in (("python", PYTHON), ("sleep", SLEEP)):
        (folder / name).write_text(text)
        (folder / name).chmod(0o755)
    asked = folder / "asked"
    server = f'until [ "$(grep -c {last} {asked})" -ge 3 ]; do /bin/sleep 0.02; done; kill -- -$$'
    ours = {"PATH": f"{folder}:{os.environ['PATH']}", "ASKED": str(asked), "REAL_PYTHON": sys.executable}
    settings = {"REGRIND_DATA": str(folder), "REGRIND_SMTP_HOST": "", "STOPPED": ""}
    done = subprocess.run(
        ["sh", str(ROOT / "scripts/container/enter.sh"), "sh", "-c", server],
        timeout=60,
        cwd=ROOT,
        env=os.environ | ours | settings | environment,
        start_new_session=True,
    )
    return done.returncode, asked.read_text().splitlines()


def test_the_entry_goes_on_asking_for_the_nights_backup_beside_the_server(tmp_path):
    """A failed asking neither ends the server nor the asking."""
    code, lines = enter(tmp_path)
    assert code == -signal.SIGTERM
    assert lines[:4] == PREPARE
    assert set(lines[4:]) == {"manage.py backup --if-due"}


@pytest.mark.parametrize("where", ["environment", "file"])
def test_mail_is_sent_beside_the_server_where_a_mail_server_is_set(tmp_path, where):
    if where == "file":
        (tmp_path / "settings.toml").write_text('smtp_host = "smtp.example"\n')
    code, lines = enter(tmp_path, "mail", REGRIND_SMTP_HOST="smtp.example" if where == "environment" else "")
    assert code == -signal.SIGTERM
    assert set(lines[4:]) == {"manage.py backup --if-due", "manage.py mail"}


def test_a_stop_during_the_start_waits_for_the_present_step_and_for_no_other(tmp_path):
    assert enter(tmp_path, STOPPED="1") == (128 + signal.SIGTERM, [*PREPARE[:2], "migrated"])


SERVERS_PATIENCE_S = 30  # gunicorn's documentation, graceful_timeout's default


def test_a_stop_waits_longer_than_the_server_lets_its_answers_take():
    app = COMPOSE.split("\n  database:\n")[0]
    assert int(re.search(r"stop_grace_period: (\d+)s", app)[1]) > SERVERS_PATIENCE_S
    assert "--graceful-timeout" not in DOCKERFILE


def test_the_log_of_each_container_has_an_end():
    services = COMPOSE.split("\nservices:\n")[1].split("\nvolumes:\n")[0]
    assert len(re.findall(r"^  \w+:$", services, re.M)) == services.count("    logging: *log\n") == 2
    assert re.search(r"^ +max-size: \d+m$", COMPOSE, re.M)
    assert re.search(r'^ +max-file: "\d+"$', COMPOSE, re.M)


ELSEWHERE = {"PORT", "REGRIND_BACKUPS", "REGRIND_HTTPS_PORT", "REGRIND_TLS_NAME"}  # the host's port, the image, `serve`


def test_every_setting_can_be_written_into_the_file_of_variables():
    passed = set(re.findall(r"^      (\w+): ", COMPOSE.split("\n  database:\n")[0], re.M))
    assert {setting.variable for setting in SETTINGS} - ELSEWHERE <= passed


def test_the_user_of_the_image_can_read_what_a_checkout_made_for_one_user_alone_brings():
    """umask 077, as the document has it, leaves new files of a checkout readable by their owner alone."""
    opened = DOCKERFILE.index("chmod -R a+rX /app")
    assert max(found.start() for found in re.finditer(r"^COPY ", DOCKERFILE, re.M)) < opened
    assert opened < DOCKERFILE.index("USER regrind")


def test_the_first_owner_is_asked_for_once_the_program_answers():
    """Without --wait the next command meets a database without tables."""
    page = (ROOT / "docs/deploy.md").read_text(encoding="utf-8")
    starts = re.findall(r"^    docker compose up.*|then `docker compose up.*", page, re.M)
    assert len(starts) >= 3
    assert all("--wait" in start for start in starts)
