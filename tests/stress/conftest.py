"""A real server on a database of its own, with several workers, for drills that no in-process client can do."""

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.parse import urlencode

import psycopg
import pytest
from psycopg.conninfo import make_conninfo

ROOT = Path(__file__).resolve().parents[2]
SEED = """
from regrind.shop.models import Person
from regrind.record.models import *
from regrind.record.moves import move
oda = Person.objects.create_user("Oda", "a long password", owner=True)
customer = Customer.objects.create(name="Drill")
family = Family.objects.create(kind="square", nominal_nm=6350000, teeth=3)
for number in range(1, {batches} + 1):
    batch = Batch.objects.create(number=number, customer=customer, received_by=oda)
    line = Line.objects.create(batch=batch, number=1, family=family)
    piece = Piece.objects.create(batch=batch, original_line=1, number=1, line=line)
    for to, result in (("inspected", ""), ("released", "returned_unground")):
        move(pieces=[piece], to=to, by=oda, result=result, reason="drill")
"""


class Client:
    """One tablet: cookies, and nothing else that a browser does."""

    def __init__(self, port: int):
        self.port, self.cookies = port, {}

    def ask(self, method: str, path: str, data: dict | None = None, drop: bool = False) -> tuple[int, str, str]:
        """(status, body, Location); with `drop` the connection is closed before the answer is read: (0, '', '')."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        headers = {"Cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items())}
        body = urlencode(data, doseq=True) if data is not None else None
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            line.request(method, path, body, headers)
            if drop:
                return 0, "", ""
            answer = line.getresponse()
            for name, value in answer.getheaders():
                if name.lower() == "set-cookie":
                    key, _, rest = value.partition("=")
                    self.cookies[key] = rest.split(";")[0]
            return answer.status, answer.read().decode(), answer.headers.get("Location", "")
        finally:
            line.close()

    def token(self, path: str) -> str:
        status, page, _ = self.ask("GET", path)
        assert status == 200, (path, status, page[:300])
        return re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page).group(1)

    def sign_in(self) -> "Client":
        token = self.token("/shop/sign-in")
        status, page, _ = self.ask(
            "POST", "/shop/sign-in", {"csrfmiddlewaretoken": token, "name": "Oda", "password": "a long password"}
        )
        assert status == 302, page[:500]
        return self

    def post(self, path: str, data: dict, drop: bool = False) -> tuple[int, str, str]:
        return self.ask("POST", path, data | {"csrfmiddlewaretoken": self.cookies["csrftoken"]}, drop)


class Shop:
    """A shop in a folder of its own, served by gunicorn with four worker processes."""

    def __init__(self, folder: Path, database_url: str, batches: int):
        self.folder = folder
        self.env = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL",)} | {
            "REGRIND_DATA": str(folder),
            "DJANGO_SETTINGS_MODULE": "regrind.settings_test",
        }
        if database_url:
            self.env["DATABASE_URL"] = database_url
        self.manage("migrate", "-v0")
        self.shell(SEED.format(batches=batches))
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.server = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "gunicorn",
                "--workers=4",
                "--graceful-timeout=1",
                "--log-level=critical",
                f"--bind=127.0.0.1:{self.port}",
                "regrind.wsgi:application",
            ],
            cwd=ROOT,
            env=self.env,
        )
        self._await()

    def _await(self) -> None:
        for _ in range(200):
            try:
                if Client(self.port).ask("GET", "/shop/sign-in")[0] == 200:
                    return
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the server did not start")

    def manage(self, *args: str) -> str:
        done = subprocess.run(
            [sys.executable, "manage.py", *args], cwd=ROOT, env=self.env, text=True, capture_output=True, check=False
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def shell(self, code: str) -> str:
        return self.manage("shell", "-v0", "-c", code)

    def workers(self) -> list[int]:
        listing = subprocess.run(
            ["ps", "-o", "pid=", "--ppid", str(self.server.pid)], capture_output=True, text=True, check=False
        )
        return [int(pid) for pid in listing.stdout.split()]

    def kill_a_worker(self) -> None:
        for pid in self.workers()[:1]:
            os.kill(pid, signal.SIGKILL)

    def stop(self) -> None:
        self.server.terminate()
        self.server.wait(20)


@pytest.fixture
def open_shop(tmp_path, request):
    """open_shop(batches) -> a running Shop, on the suite's kind of database."""
    from django.conf import settings

    if sys.platform == "win32":
        pytest.skip("gunicorn does not run on Windows")
    shops, made = [], []
    where = settings.DATABASES["default"]
    postgres = where["ENGINE"].endswith("postgresql")
    admin = (
        make_conninfo(host=where.get("HOST"), port=where.get("PORT") or None, user=where.get("USER"), dbname="postgres")
        if postgres
        else ""
    )

    def start(batches: int) -> Shop:
        url = ""
        if postgres:
            name = f"drill_{os.getpid()}_{len(made)}_{abs(hash(request.node.name)) % 10**6}"
            with psycopg.connect(admin, autocommit=True) as server:
                server.execute(f'CREATE DATABASE "{name}"')
            made.append(name)
            url = f"postgres://{where['USER']}@/{name}?host={where['HOST']}&port={where['PORT'] or 5432}"
        shops.append(Shop(tmp_path, url, batches))
        return shops[-1]

    yield start
    for shop in shops:
        shop.stop()
    for name in made:
        with psycopg.connect(admin, autocommit=True) as server:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
