"""start.py demo and serve: addresses, ports, and settings that match http or TLS."""

import socket
import subprocess
import sys
from contextlib import ExitStack, contextmanager

import pytest

from regrind.shop.web.middleware import RefuseLargeBody
from scripts import launch, network, shop_environment, show_code


@pytest.mark.parametrize(
    ("first", "others", "expected"),
    [
        ("192.168.1.20", ["127.0.1.1"], ["192.168.1.20"]),
        ("10.0.0.5", ["10.0.0.5", "192.168.1.20"], ["10.0.0.5", "192.168.1.20"]),
        (None, ["127.0.0.1"], []),
        ("169.254.10.2", ["172.16.4.4"], ["172.16.4.4"]),
        ("0.0.0.0", [], []),
    ],
)
def test_addresses_that_a_tablet_can_reach(first, others, expected):
    assert network.lan_addresses(first, others) == expected


def test_this_machine_names_no_address_that_only_itself_can_reach():
    assert not [address for address in network.find_lan_addresses() if address.startswith("127.")]


@pytest.fixture
def taken_port():
    with socket.socket() as server:
        server.bind(("127.0.0.1", 0))
        server.listen()
        yield server.getsockname()[1]


def test_a_taken_port_is_refused_when_it_was_asked_for(taken_port):
    with pytest.raises(ValueError, match=f"Port {taken_port} is in use.*settings file"):
        network.choose_port("127.0.0.1", str(taken_port))


def test_a_taken_port_is_passed_over_when_any_will_do(taken_port):
    assert network.choose_port("127.0.0.1", None, first=taken_port) > taken_port


@pytest.mark.parametrize("wish", ["http", "0", "65536", "-1", "8000.5", "٨٠٠٠"])
def test_a_port_that_is_none_is_refused(wish):
    with pytest.raises(ValueError, match="whole number from 1 to 65535"):
        network.choose_port("127.0.0.1", wish)


def test_waiting_ends_when_the_server_does(taken_port):
    assert network.wait_until_answers(taken_port, lambda: True)
    assert not network.wait_until_answers(taken_port, lambda: False)


def test_the_demo_never_meets_the_shops_own_data(tmp_path, monkeypatch):
    monkeypatch.setenv("DATABASE_URL", "postgres://shop@db/shop")
    monkeypatch.setenv("REGRIND_TLS", "1")
    environment = launch.demo_environment(tmp_path)
    assert "DATABASE_URL" not in environment
    assert "REGRIND_TLS" not in environment
    assert environment["REGRIND_DATA"] == str(tmp_path / "demo")
    assert environment["REGRIND_DEMO"] == "1"


def test_on_http_the_hosts_are_this_machines_own_and_cookies_are_not_for_https_only(tmp_path, monkeypatch):
    monkeypatch.delenv("REGRIND_HOSTS", raising=False)
    monkeypatch.setenv("REGRIND_BEHIND_PROXY", "1")
    environment = launch.serve_environment(tmp_path, None, ["192.168.1.20"])
    hosts = environment["REGRIND_OWN_HOSTS"].split(",")
    assert hosts[0] == "192.168.1.20"
    assert {"localhost", "127.0.0.1", socket.gethostname().lower()} <= set(hosts)
    assert "*" not in hosts
    assert environment["REGRIND_TLS"] == environment["REGRIND_BEHIND_PROXY"] == ""


def test_hosts_that_the_shop_named_are_added_to_its_own(tmp_path, monkeypatch):
    monkeypatch.setenv("REGRIND_HOSTS", "tools.example, other.example")
    environment = launch.serve_environment(tmp_path, None, ["192.168.1.20"])
    code = "from regrind import settings; print(*settings.ALLOWED_HOSTS)"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=launch.ROOT, env=environment, capture_output=True, text=True
    )
    hosts = done.stdout.split()
    assert hosts[:3] == ["tools.example", "other.example", "192.168.1.20"]
    assert "localhost" in hosts


def test_an_address_is_found_where_no_route_leads_out(monkeypatch):
    """A workshop's own switch without a router: only the interfaces themselves know."""
    monkeypatch.setattr(network, "address_towards", lambda: None)
    monkeypatch.setattr(network, "addresses_of_name", lambda: ["127.0.1.1"])
    monkeypatch.setattr(network, "addresses_of_interfaces", lambda: ["127.0.0.1", "192.168.7.7", "10.1.1.1"])
    assert network.find_lan_addresses() == ["192.168.7.7", "10.1.1.1"]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows is asked by name")
def test_each_interface_is_asked_for_its_address():
    assert "127.0.0.1" in network.addresses_of_interfaces()


PLAIN_APP = """
def application(environ, start_response):
    body = environ["wsgi.input"].read()
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [str(len(body)).encode()]
"""


@contextmanager
def served(tmp_path, *flags):
    """A plain application behind the web server with these flags; its port."""
    (tmp_path / "plain_app.py").write_text(PLAIN_APP)
    port = network.choose_port("127.0.0.1", None, first=18_000)
    launch.allow_open_files(2 * launch.MOST_CONNECTIONS)
    server = subprocess.Popen(
        [sys.executable, "-m", "waitress", f"--listen=127.0.0.1:{port}", *flags, "plain_app:application"],
        cwd=tmp_path,
        stderr=subprocess.DEVNULL,
    )
    try:
        assert network.wait_until_answers(port, lambda: server.poll() is None)
        yield port
    finally:
        server.kill()
        server.wait()


def ask(port, patience, body=b"", length=None):
    """The status line that comes back, or None."""
    with socket.create_connection(("127.0.0.1", port), timeout=patience) as connection:
        head = f"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: {len(body) if length is None else length}\r\n\r\n"
        connection.sendall(head.encode() + body)
        try:
            return connection.recv(100).split(b"\r\n")[0].decode()
        except TimeoutError:
            return None


def test_sixty_tablets_and_four_hundred_idle_connections_keep_nobody_out(tmp_path):
    """760 connections held open; with the server's own limit of 100 the next one is never answered."""
    with served(tmp_path, *launch.limits()) as port, ExitStack() as held:
        for _ in range(60 * 6 + 400):
            held.enter_context(socket.create_connection(("127.0.0.1", port), timeout=30))
        assert ask(port, 60) == "HTTP/1.1 200 OK"
    with served(tmp_path) as port, ExitStack() as held:
        for _ in range(110):
            held.enter_context(socket.create_connection(("127.0.0.1", port), timeout=30))
        assert ask(port, 3) is None


def test_a_request_that_is_too_large_is_refused_by_its_head(tmp_path):
    with served(tmp_path, *launch.limits()) as port:
        assert ask(port, 60, length=launch.MOST_BODY + 1).startswith("HTTP/1.1 413")
        assert ask(port, 60, b"x" * 1_000_000) == "HTTP/1.1 200 OK"


def test_the_limit_of_the_body_is_the_programs_own():
    assert launch.MOST_BODY == RefuseLargeBody.MOST


def test_without_poll_the_limit_is_what_select_takes(monkeypatch):
    monkeypatch.delattr(launch.select, "poll")
    flags = launch.limits()
    assert "--connection-limit=480" in flags
    assert "--asyncore-use-poll" not in flags


def test_behind_tls_only_the_named_host_is_answered(tmp_path):
    environment = launch.serve_environment(tmp_path, "tools.example", ["192.168.1.20"])
    assert environment["REGRIND_OWN_HOSTS"] == "tools.example"
    assert environment["REGRIND_TLS"] == environment["REGRIND_BEHIND_PROXY"] == "1"


@pytest.mark.parametrize("switch", ["REGRIND_DEMO", "REGRIND_DEBUG"])
def test_a_shop_is_never_served_as_a_demo_or_with_error_pages_for_developers(tmp_path, monkeypatch, switch):
    monkeypatch.setenv(switch, "1")
    assert launch.serve_environment(tmp_path, None, [])[switch] == ""


def test_plain_http_is_said_plainly():
    words = "\n".join(launch.http_words(["192.168.1.20"], 8000))
    assert "http://192.168.1.20:8000/" in words
    assert "plain http" in words
    assert "passwords" in words


def test_a_machine_without_a_network_says_so():
    assert "no address on a network" in launch.http_words([], 8000)[0]


def read_blocks(text):
    """The modules of a drawn code, True for dark: each line of half blocks is two rows."""
    upper_light = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0), "\u00a0": (0, 0)}
    rows = []
    for line in text.splitlines():
        pairs = [upper_light[sign] for sign in line.removeprefix("\x1b[97;40m").removesuffix("\x1b[0m")]
        rows += [[not upper for upper, _ in pairs], [not lower for _, lower in pairs]]
    return rows


def test_the_code_in_the_terminal_reads_back_as_the_address():
    import numpy
    import zxingcpp

    dark = numpy.array(read_blocks(show_code.draw_code("http://192.168.1.20:8000/", "utf-8")))
    picture = numpy.where(dark, 0, 255).astype(numpy.uint8).repeat(6, axis=0).repeat(6, axis=1)
    assert [code.text for code in zxingcpp.read_barcodes(picture)] == ["http://192.168.1.20:8000/"]


def test_a_terminal_without_blocks_gets_the_code_in_colours():
    text = show_code.draw_code("http://192.168.1.20:8000/", "ascii")
    assert text.isascii()
    assert "\x1b[7m" in text


def test_in_another_users_folder_the_static_files_go_into_the_data_folder(tmp_path, monkeypatch):
    """A checkout that belongs to root, and a service of somebody else."""
    assert "REGRIND_STATIC" not in launch.serve_environment(tmp_path, None, [])
    monkeypatch.setattr(shop_environment.os, "access", lambda path, how: False)
    environment = launch.serve_environment(tmp_path, None, [])
    assert environment["REGRIND_STATIC"] == str(tmp_path / "static")
    code = "from regrind import settings; print(settings.STATIC_ROOT)"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=launch.ROOT, env=environment, capture_output=True, text=True
    )
    assert done.stdout.strip() == str(tmp_path / "static")


def test_with_the_shops_own_tls_its_addresses_are_answered_and_no_port_is_bound_for_a_year(tmp_path):
    environment = launch.serve_environment(tmp_path, None, ["192.168.1.20"], own_tls=True)
    assert "192.168.1.20" in environment["REGRIND_OWN_HOSTS"].split(",")
    wanted = "s.SESSION_COOKIE_SECURE, s.SECURE_HSTS_SECONDS, s.SESSION_COOKIE_NAME"
    code = f"from regrind import settings as s; print({wanted})"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=launch.ROOT, env=environment, capture_output=True, text=True
    )
    assert done.stdout.split() == ["True", "0", "__Host-sessionid"]
    behind = launch.serve_environment(tmp_path, "tools.example", [])
    done = subprocess.run([sys.executable, "-c", code], cwd=launch.ROOT, env=behind, capture_output=True, text=True)
    assert done.stdout.split()[1] == "31536000"
