"""TLS with the shop's own authority: what it signs, what a client makes of it, and what the front passes on."""

import http.client
import json
import os
import socket
import ssl
import stat
import subprocess
import sys
import threading
from contextlib import contextmanager

import pytest

from scripts import authority, network, own_tls, tls_front, tls_page
from scripts.launch import FROM_PROXY, ROOT, limits
from tests.programs import may_lack

pytestmark = may_lack("openssl")
NAMES = ["10.1.2.3", "shop.local", "tools.example", "localhost", "127.0.0.1"]
APP = """
import json
def application(environ, start_response):
    body = environ["wsgi.input"].read()
    start_response("200 OK", [("Content-Type", "application/json")])
    keep = {k: v for k, v in environ.items() if isinstance(v, str) and (k.startswith(("HTTP_", "REMOTE", "wsgi")))}
    return [json.dumps(keep | {"length": len(body), "scheme": environ["wsgi.url_scheme"]}).encode()]
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return authority.certificates(tmp_path_factory.mktemp("shop"), NAMES)


def text_of(certificate):
    done = subprocess.run(
        ["openssl", "x509", "-in", str(certificate), "-noout", "-text"], capture_output=True, text=True
    )
    return done.stdout


def test_the_leaf_is_what_an_ipad_wants(made):
    """support.apple.com/103769: 825 days at most, SAN, serverAuth, SHA-2, no more than a leaf."""
    text = text_of(made.leaf)
    for part in ("CA:FALSE", "TLS Web Server Authentication", "ecdsa-with-SHA256", "DNS:tools.example"):
        assert part in text
    assert "IP Address:10.1.2.3" in text
    lasts = subprocess.run(["openssl", "x509", "-in", str(made.leaf), "-noout", "-checkend", str(825 * 86_400)])
    assert lasts.returncode == 1  # over by then
    lasts = subprocess.run(["openssl", "x509", "-in", str(made.leaf), "-noout", "-checkend", str(824 * 86_400)])
    assert lasts.returncode == 0


def test_the_authority_signs_for_this_network_and_for_nobody_else(made):
    text = text_of(made.authority)
    assert "CA:TRUE, pathlen:0" in text
    assert "X509v3 Name Constraints: critical" in text
    assert verify(made, "tools.example") == ""
    authority.make_leaf(made.leaf.parent, ["bank.example"])
    try:
        assert "permitted subtree violation" in verify(made, "bank.example")
    finally:
        authority.make_leaf(made.leaf.parent, NAMES)


def verify(made, host):
    done = subprocess.run(
        ["openssl", "verify", "-CAfile", str(made.authority), "-verify_hostname", host, str(made.leaf)],
        capture_output=True,
        text=True,
    )
    return done.stderr if done.returncode else ""


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_keys_are_for_their_owners_eyes_alone(made):
    assert {stat.S_IMODE(path.stat().st_mode) for path in made.leaf.parent.glob("*.key")} == {0o600}
    assert stat.S_IMODE(made.leaf.parent.stat().st_mode) == 0o700


def test_a_certificate_is_made_again_only_for_a_new_name_or_at_its_end(tmp_path, monkeypatch):
    first = authority.certificates(tmp_path, NAMES)
    before = (first.authority.read_bytes(), first.leaf.read_bytes())
    authority.certificates(tmp_path, NAMES[:2])
    assert (first.authority.read_bytes(), first.leaf.read_bytes()) == before
    authority.certificates(tmp_path, [*NAMES, "10.9.9.9"])
    assert first.authority.read_bytes() == before[0]  # tablets trust it still
    assert "10.9.9.9" in text_of(first.leaf)
    renewed = first.leaf.read_bytes()
    monkeypatch.setattr(authority, "RENEW_DAYS", 826)
    authority.certificates(tmp_path, NAMES)
    assert first.leaf.read_bytes() != renewed


def test_a_public_address_is_never_signed():
    assert [name for name in ("10.0.0.1", "192.168.1.1", "8.8.8.8", "shop.local") if authority.may_be_signed(name)] == [
        "10.0.0.1",
        "192.168.1.1",
        "shop.local",
    ]


def test_an_address_that_gets_no_certificate_is_named_at_the_start(tmp_path):
    front = own_tls.make_front(tmp_path, ["10.0.0.1", "203.0.113.4"], [], 8000, 8443)  # 203.0.113.0/24: RFC 5737
    assert front.addresses == ("10.0.0.1",)
    assert any("No certificate for 203.0.113.4" in line for line in front.words())
    assert not any("203.0.113.4:" in line and "https" in line for line in front.words())
    alone = own_tls.make_front(tmp_path, ["10.0.0.1"], [], 8000, 8443)
    assert not any("No certificate" in line for line in alone.words())


def test_without_openssl_it_says_what_to_install(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(authority, "WINDOWS", ())
    with pytest.raises(ValueError, match="apt install openssl"):
        authority.find_openssl()


@pytest.mark.parametrize(
    "line",
    [
        b"X-Forwarded-For: 1.2.3.4",
        b"x-forwarded-PROTO: http",
        b"X_Forwarded_For: 1.2.3.4",
        b"Forwarded: for=1.2.3.4",
        b"Connection: keep-alive",
        b"Upgrade: h2c",
    ],
)
def test_what_only_a_proxy_may_say_is_not_passed_on(line):
    head = b"GET / HTTP/1.1\r\nHost: x\r\n" + line + b"\r\nAccept: a\r\n\r\n"
    passed = tls_front.rewrite_head(head, "10.0.0.7")
    assert line not in passed
    assert passed.count(b"\r\n\r\n") == 1
    for ours in (b"X-Forwarded-For: 10.0.0.7", b"X-Forwarded-Proto: https", b"Connection: close", b"Accept: a"):
        assert ours in passed


@pytest.mark.parametrize(
    "head",
    [
        b"GET / HTTP/2\r\nHost: x\r\n\r\n",
        b"GET /a b HTTP/1.1\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: x\r\n folded\r\n\r\n",
        b"GET / HTTP/1.1\r\nX-Forwarded-For : 1.2.3.4\r\n\r\n",
        b"GET / HTTP/1.1\r\nno colon\r\n\r\n",
        b"GET / HTTP/1.1\r\na: b\nX-Forwarded-For: 1.2.3.4\r\n\r\n",
    ],
)
def test_an_odd_head_is_refused(head):
    with pytest.raises(tls_front.BadHead):
        tls_front.rewrite_head(head, "10.0.0.7")


def free_ports(count):
    sockets = [socket.create_server(("127.0.0.1", 0)) for _ in range(count)]
    ports = [one.getsockname()[1] for one in sockets]
    for one in sockets:
        one.close()
    return ports


@contextmanager
def served(made, folder):
    """A plain application behind the web server and the front, as `serve --https` starts them; the https port."""
    (folder / "tls_app.py").write_text(APP)
    server_port, https, plain = free_ports(3)
    server = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "waitress",
            f"--listen=127.0.0.1:{server_port}",
            *limits(),
            *FROM_PROXY,
            "tls_app:application",
        ],
        cwd=folder,
    )
    ports = ["--server", str(server_port), "--https", str(https), "--http", str(plain)]
    files = ["--leaf", str(made.leaf), "--key", str(made.key), "--authority", str(made.authority)]
    front = subprocess.Popen([sys.executable, "-m", "scripts.tls_front", *ports, *files], cwd=ROOT)
    try:
        for port, one in ((server_port, server), (https, front), (plain, front)):
            assert network.wait_until_answers(port, lambda one=one: one.poll() is None)
        yield https, plain
    finally:
        for one in (front, server):
            one.kill()
            one.wait()


@pytest.fixture(scope="module")
def ports(made, tmp_path_factory):
    with served(made, tmp_path_factory.mktemp("app")) as ports:
        yield ports


def ask(port, made, method="GET", body=None, host="localhost", **headers):
    context = ssl.create_default_context(cafile=str(made.authority))
    line = http.client.HTTPSConnection(host, port, context=context, timeout=60)
    line.request(method, "/", body, headers)
    return json.loads(line.getresponse().read())


def test_a_client_that_trusts_the_authority_gets_through_and_its_address_is_known(made, ports):
    answer = ask(ports[0], made, **{"X-Forwarded-For": "6.6.6.6"})
    assert (answer["scheme"], answer["REMOTE_ADDR"]) == ("https", "127.0.0.1")
    assert "6.6.6.6" not in json.dumps(answer)
    assert ask(ports[0], made, "POST", b"x" * 3_000_000)["length"] == 3_000_000


def test_a_client_that_does_not_is_refused(made, ports):
    line = http.client.HTTPSConnection("localhost", ports[0], context=ssl.create_default_context(), timeout=60)
    with pytest.raises(ssl.SSLCertVerificationError):
        line.request("GET", "/")


def test_a_second_request_on_one_connection_is_not_answered(made, ports):
    """What follows a head is its body and nothing else: no second head slips past the front."""
    context = ssl.create_default_context(cafile=str(made.authority))
    one, answer = b"GET / HTTP/1.1\r\nHost: x\r\n", b""
    with (
        socket.create_connection(("localhost", ports[0]), timeout=60) as raw,
        context.wrap_socket(raw, server_hostname="localhost") as line,
    ):
        line.sendall(one + b"\r\n" + one + b"X-Forwarded-For: 6.6.6.6\r\n\r\n")
        while some := line.recv(65_536):
            answer += some
    assert answer.count(b"HTTP/1.1 200") == 1
    assert b"6.6.6.6" not in answer


def test_four_hundred_silent_connections_keep_nobody_out(made, ports):
    silent = [socket.create_connection(("localhost", ports[0]), timeout=30) for _ in range(400)]
    try:
        answers = []
        threads = [threading.Thread(target=lambda: answers.append(ask(ports[0], made))) for _ in range(8)]
        for one in threads:
            one.start()
        for one in threads:
            one.join(60)
        assert len(answers) == 8
    finally:
        for one in silent:
            one.close()


def test_the_plain_port_hands_out_the_certificate_and_says_how_to_take_it(made, ports):
    def plain(path, host="10.1.2.3:8000"):
        line = http.client.HTTPConnection("localhost", ports[1], timeout=60)
        line.request("GET", path, headers={"Host": host})
        answer = line.getresponse()
        return answer.getheader("Content-Type"), answer.read()

    assert plain("/authority.crt") == ("application/x-x509-ca-cert", made.authority.read_bytes())
    kind, page = plain("/anything")
    assert kind.startswith("text/html")
    for part in ("Android", "iPad", "Windows", authority.fingerprint(made.authority), "https://10.1.2.3:"):
        assert part in page.decode()
    assert b"<script>" not in plain("/", 'x"><script>')[1]


def test_the_fingerprint_is_the_one_that_openssl_prints(made):
    done = subprocess.run(
        ["openssl", "x509", "-in", str(made.authority), "-noout", "-fingerprint", "-sha256"],
        capture_output=True,
        text=True,
    )
    assert done.stdout.strip().split("=")[1].replace(":", "") == authority.fingerprint(made.authority).replace(" ", "")


def test_the_page_names_the_host_that_was_asked_for():
    page = tls_page.HOST.search(b"GET / HTTP/1.1\nHost: shop.local:8000\n\n")
    assert page[1] == b"shop.local"
