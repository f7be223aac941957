"""The container's files agree with the repository and hold no secret. (No container is built here.)"""

import http.server
import os
import re
import signal
import subprocess
import threading
from pathlib import Path

import pytest

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


STAND_IN = """#!/bin/sh
echo "$@" >> "$ASKED"
case "$*" in *--if-due) exit 1;; esac
"""


def test_the_entry_goes_on_asking_for_the_nights_backup_beside_the_server(tmp_path):
    """enter.sh itself, with stand-ins for python and sleep: a failed asking neither ends the server nor the asking."""
    for name, text in (("python", STAND_IN), ("sleep", "#!/bin/sh\nexec /bin/sleep 0.01\n")):
        (tmp_path / name).write_text(text)
        (tmp_path / name).chmod(0o755)
    asked = tmp_path / "asked"
    server = f'until [ "$(grep -c if-due {asked})" -ge 3 ]; do /bin/sleep 0.02; done; kill -- -$$'
    done = subprocess.run(
        ["sh", str(ROOT / "scripts/container/enter.sh"), "sh", "-c", server],
        timeout=60,
        env=os.environ | {"PATH": f"{tmp_path}:{os.environ['PATH']}", "ASKED": str(asked)},
        start_new_session=True,
    )
    assert done.returncode == -signal.SIGTERM
    lines = asked.read_text().splitlines()
    assert lines[:4] == [
        "manage.py backup --before-update",
        "manage.py migrate --noinput --verbosity=1",
        "manage.py recount --if-empty",
        "manage.py check_database",
    ]
    assert set(lines[4:]) == {"manage.py backup --if-due"}
