"""`start.py serve --https` on one computer and a tablet on another: two network name spaces with a cable between."""

import os
import re
import shutil
import subprocess
import sys
import time
from contextlib import contextmanager

import pytest

from scripts.launch import ROOT

SHOP, TABLET = "10.77.0.1", "10.77.0.2"
START = (
    "import sys; from scripts import launch, own_tls; launch.ensure = lambda level: None;"
    "launch.PYTHON = own_tls.PYTHON = sys.executable; sys.exit(launch.main(sys.argv[1:]))"
)
CLIENT = """
import http.cookiejar, re, ssl, sys, urllib.error, urllib.parse, urllib.request
shop, password = sys.argv[1:]
certificate = urllib.request.urlopen(f"http://{shop}:8000/authority.crt", timeout=60).read().decode()
page = f"https://{shop}:8443/shop/sign-in"
try:
    urllib.request.urlopen(page, timeout=60)
    print("opened without the certificate")
except urllib.error.URLError as refused:
    print("without the certificate:", "CERTIFICATE_VERIFY_FAILED" in str(refused))
context = ssl.create_default_context(cadata=certificate)
jar = http.cookiejar.CookieJar()
browser = urllib.request.build_opener(
    urllib.request.HTTPSHandler(context=context), urllib.request.HTTPCookieProcessor(jar)
)
text = browser.open(page, timeout=60).read().decode()
token = re.search('name="csrfmiddlewaretoken" value="([^"]+)"', text)[1]
typed = {"csrfmiddlewaretoken": token, "name": "owner", "password": password}
ask = urllib.request.Request(page, urllib.parse.urlencode(typed).encode(), {"Referer": page})
print("signed in:", browser.open(ask, timeout=60).status)
print("cookies:", sorted(cookie.name for cookie in jar), all(cookie.secure for cookie in jar))
"""


def may_make_networks():
    if not (hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("ip") and shutil.which("openssl")):
        return False
    made = subprocess.run(["ip", "netns", "add", "regrind-probe"], capture_output=True).returncode == 0
    subprocess.run(["ip", "netns", "del", "regrind-probe"], capture_output=True)
    return made


pytestmark = [
    pytest.mark.full,
    pytest.mark.skipif(not may_make_networks(), reason="name spaces of a network need root and the command ip"),
]


def run(*command, **options):
    return subprocess.run(command, check=True, text=True, capture_output=True, **options).stdout


def inside(name, *command):
    return ("ip", "netns", "exec", name, *command)


@pytest.fixture
def cable():
    """Two name spaces, shop and tablet, with one cable and no other network."""
    names = [f"regrind-{os.getpid()}-{end}" for end in ("shop", "tablet")]
    for name in names:
        run("ip", "netns", "add", name)
    run("ip", "link", "add", "rg0", "netns", names[0], "type", "veth", "peer", "name", "rg1", "netns", names[1])
    for name, device, address in zip(names, ("rg0", "rg1"), (SHOP, TABLET), strict=True):
        run(*inside(name, "ip", "addr", "add", f"{address}/24", "dev", device))
        for one in (device, "lo"):
            run(*inside(name, "ip", "link", "set", one, "up"))
    yield names
    for name in names:
        run("ip", "netns", "del", name)


@contextmanager
def serving(name, data):
    clean = {k: v for k, v in os.environ.items() if k != "DATABASE_URL" and not k.startswith(("REGRIND_", "DJANGO_"))}
    command = [sys.executable, "-c", START, "serve", "--https", "--log", "--data", str(data)]
    environment = clean | {"REGRIND_STATIC": str(data.parent / "static")}
    server = subprocess.Popen(inside(name, *command), cwd=ROOT, env=environment)
    try:
        yield
    finally:
        server.terminate()
        server.wait(60)


def wait_for(text, file, seconds=240):
    end = time.monotonic() + seconds
    while not (file.exists() and text in file.read_text()):
        assert time.monotonic() < end, file.read_text() if file.exists() else "nothing was printed"
        time.sleep(0.5)
    return file.read_text()


def test_a_tablet_fetches_the_certificate_and_signs_in_over_tls(cable, tmp_path):
    shop, tablet = cable
    data = tmp_path / "shop"
    with serving(shop, data):
        printed = wait_for("settings: ", data / "logs" / "start.log")
        password = re.search(r"name owner, password (\S+)", printed)[1]
        assert f"https://{SHOP}:8443/" in printed
        client = run(*inside(tablet, sys.executable, "-c", CLIENT, SHOP, password))
    assert client.splitlines() == [
        "without the certificate: True",
        "signed in: 200",
        "cookies: ['__Host-csrftoken', '__Host-sessionid'] True",
    ]
    assert f"{TABLET} person 1 event - signed in by password" in (data / "logs" / "regrind.log").read_text()
