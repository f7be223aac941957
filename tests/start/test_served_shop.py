"""The whole of `start.py serve` in a place of its own: its log, a killed server, and the start after it."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from contextlib import contextmanager
from http.cookiejar import CookieJar

import pytest

from scripts.launch import ROOT

pytestmark = [
    pytest.mark.full,
    pytest.mark.drill("the server killed or stopped, and started again"),
    pytest.mark.skipif(sys.platform == "win32", reason="signals as on POSIX"),
]
START = (
    "import sys; from scripts import launch; launch.ensure = lambda level: None;"
    "launch.PYTHON = sys.executable; sys.exit(launch.main(sys.argv[1:]))"
)


@contextmanager
def serving(data, port, *more):
    env = {k: v for k, v in os.environ.items() if k != "DATABASE_URL" and not k.startswith(("REGRIND_", "DJANGO_"))}
    command = [sys.executable, "-c", START, "serve", "--data", str(data), *more]
    static = {"REGRIND_STATIC": str(data.parent / "static")}
    server = subprocess.Popen(command, cwd=ROOT, env=env | static | {"PORT": str(port)})
    try:
        yield server
    finally:
        server.terminate()
        server.wait(60)


def free_port():
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return free.getsockname()[1]


class Tablet:
    def __init__(self, port):
        self.page = f"http://127.0.0.1:{port}/shop/sign-in"
        self.browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def open(self, patience=90.0):
        end = time.monotonic() + patience
        while True:
            try:
                return self.browser.open(self.page, timeout=30).read().decode()
            except OSError:
                assert time.monotonic() < end, "the shop never answered"
                time.sleep(0.2)

    def sign_in(self, name, password):
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', self.open())[1]
        typed = {"csrfmiddlewaretoken": token, "name": name, "password": password}
        try:
            return self.browser.open(self.page, urllib.parse.urlencode(typed).encode(), timeout=30).status
        except urllib.error.HTTPError as refused:
            return refused.code


def child_of(pid):
    done = subprocess.run(["ps", "-o", "pid=,args=", "--ppid", str(pid)], capture_output=True, text=True)
    return next(int(line.split()[0]) for line in done.stdout.splitlines() if "waitress" in line)


def test_a_shop_logs_its_sign_ins_and_its_killed_server_is_a_failure_that_a_service_mends(tmp_path):
    data, port = tmp_path / "shop", free_port()
    with serving(data, port, "--log") as first:
        tablet = Tablet(port)
        tablet.open()
        printed = (data / "logs" / "start.log").read_text()
        name, password = re.search(r"First sign-in: name (\S+), password (\S+)", printed).groups()
        assert tablet.sign_in(name, "a wrong one") == 422
        assert tablet.sign_in(name, password) == 200
        os.kill(child_of(first.pid), signal.SIGKILL)
        assert first.wait(30) != 0  # systemd, launchd and the task start it again after that
    with serving(data, port, "--log"):
        assert Tablet(port).sign_in(name, password) == 200
    log = (data / "logs" / "regrind.log").read_text().splitlines()
    texts = [line.split(" ", 8)[-1] for line in log]
    assert texts.count("signed in by password") == 2
    assert texts.count("sign-in refused: wrong password of person 1") == 1
    assert all(
        re.match(r"\d{4}-\d\d-\d\dT[\d:.]+Z [A-Z]+ \S+ 127\.0\.0\.1 person ", line)
        for line in log
        if " waitress " not in line
    )
    for line in (f"data: {data}", f"log: {data / 'logs' / 'regrind.log'}"):
        assert line in printed or line in (data / "logs" / "start.log").read_text()


def test_stopping_it_is_no_failure(tmp_path):
    data, port = tmp_path / "shop", free_port()
    with serving(data, port) as server:
        Tablet(port).open()
        server.terminate()
        assert server.wait(60) == 0
