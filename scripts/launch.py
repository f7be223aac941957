"""The commands of start.py. Standard library only: it runs before anything is installed."""

from __future__ import annotations

import argparse
import os
import select
import signal
import socket
import subprocess
import sys
from pathlib import Path

from regrind.version import VERSION
from scripts.environment import PYTHON, ROOT, ensure, say
from scripts.network import choose_port, find_lan_addresses, wait_until_answers
from scripts.nightly import asked_again_and_again
from scripts.steps import FAST_HELP, Options, format_all, run_all

PRIVATE = 0o077  # files and folders of the shop's data: nobody else's business (POSIX; Windows has no such mask)
ONLY_HERE = "127.0.0.1"
EVERYWHERE = "0.0.0.0"
MOST_CONNECTIONS = 2_000
MOST_BODY = 40_000_000  # bytes, as shop.middleware: a larger one is refused by its head, before any of it is kept
SERVE_PORT = "8000"  # always the same, since tablets keep the address
FROM_PROXY = (
    "--trusted-proxy=127.0.0.1",
    "--trusted-proxy-count=1",
    "--trusted-proxy-headers=x-forwarded-for x-forwarded-proto",
    "--clear-untrusted-proxy-headers",
)


def main(arguments: list[str], usage: str | None = None) -> int:
    parser = argparse.ArgumentParser(
        prog="start.py", description=usage, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--version", action="version", version=f"regrind {VERSION}")
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("demo", help="an invented shop, on this machine only")
    serve = commands.add_parser("serve", help="the shop's own data, on the local network")
    serve.add_argument("--tls", metavar="NAME", help="the name for which a TLS proxy on this machine answers")
    test = commands.add_parser(
        "test",
        help="every check that this machine has the parts for",
        epilog="With -- and pytest arguments, only the tests they choose run, on SQLite: test -- tests/bench -k undo",
    )
    test.add_argument("--fast", action="store_true", help=FAST_HELP)
    test.add_argument("--full", action="store_true", help="drills in their full size")
    commands.add_parser("format", help="format Python, templates, CSS and JavaScript in place")
    commands.add_parser("manage", help="Django's own commands")
    ours, passed_on = split(arguments)
    if ours[:1] == ["manage"]:
        return run_manage(passed_on)
    return run_command(parser.parse_args(ours), passed_on)


def split(arguments: list[str]) -> tuple[list[str], list[str]]:
    """Ours, and what is passed on: all that follows `manage`, or `--`."""
    if arguments[:1] == ["manage"]:
        return arguments[:1], arguments[1:]
    if "--" in arguments:
        dashes = arguments.index("--")
        return arguments[:dashes], arguments[dashes + 1 :]
    return arguments, []


def run_command(chosen: argparse.Namespace, passed_on: list[str]) -> int:
    if chosen.command in ("test", "format"):
        ensure("dev")
    if chosen.command == "format":
        return format_all()
    if chosen.command == "test":
        ci = os.environ.get("CI", "").lower() in ("1", "true", "yes")
        return run_all(Options(full=chosen.full, fast=chosen.fast, ci=ci, pytest=tuple(passed_on)))
    try:
        return run_demo() if chosen.command == "demo" else run_serve(chosen.tls)
    except ValueError as problem:
        sys.exit(str(problem))
    except PermissionError as problem:
        sys.exit(f"{problem.filename} cannot be written: {problem.strerror}. Does it belong to the user who runs this?")


def manage(*arguments: str) -> list[str]:
    """A command of Django's; it runs in the folder of whoever called, so that the paths given to it are theirs."""
    return [str(PYTHON), str(ROOT / "manage.py"), *arguments]


def run_manage(arguments: list[str]) -> int:
    ensure("runtime")
    return subprocess.run(manage(*arguments), umask=PRIVATE).returncode


def data_folder() -> Path:
    return Path(os.environ.get("REGRIND_DATA") or ROOT / "data").resolve()


def demo_environment(data: Path) -> dict[str, str]:
    """SQLite in a folder of its own, whatever the shop's settings: invented data never meets real data."""
    inherited = {
        name: value for name, value in os.environ.items() if not name.startswith("REGRIND_") and name != "DATABASE_URL"
    }
    return inherited | {
        "REGRIND_DEMO": "1",
        "REGRIND_DATA": str(data / "demo"),
        "REGRIND_HOSTS": f"localhost,{ONLY_HERE}",
    }


def serve_environment(data: Path, tls_name: str | None, addresses: list[str]) -> dict[str, str]:
    """Hosts and cookies to match: https and one name behind a proxy, else http and our own addresses."""
    if tls_name:
        ours = {"REGRIND_TLS": "1", "REGRIND_BEHIND_PROXY": "1", "REGRIND_OWN_ADDRESSES": "", "REGRIND_HOSTS": tls_name}
    else:
        name = socket.gethostname().lower()
        hosts = [*addresses, name, f"{name}.local", "localhost", ONLY_HERE]
        named = [host.strip() for host in os.environ.get("REGRIND_HOSTS", "").split(",") if host.strip()]
        ours = {
            "REGRIND_TLS": "",
            "REGRIND_BEHIND_PROXY": "",
            "REGRIND_OWN_ADDRESSES": "1",
            "REGRIND_HOSTS": ",".join(dict.fromkeys([*named, *hosts])),
        }
    return os.environ | ours | {"REGRIND_DATA": str(data), "REGRIND_DEMO": "", "REGRIND_DEBUG": ""}


def make_private(data: Path) -> None:
    """The data folder and what lies in it, for its owner's eyes alone; one that an earlier program left open too."""
    for folder in (*reversed(data.parents), data):
        if not folder.is_dir():
            folder.mkdir(mode=0o700)
    data.chmod(0o700)
    for file in data.iterdir():
        if file.is_file() and not file.is_symlink():
            file.chmod(0o600)


def prepare(environment: dict[str, str], *commands: tuple[str, ...]) -> None:
    """Run commands one after the other, then gather the static files; one that fails ends all."""
    ensure("runtime")
    make_private(Path(environment["REGRIND_DATA"]))
    for command in commands:
        run_or_stop(environment, *command, umask=PRIVATE)
    run_or_stop(environment, "collectstatic", "--noinput", "--verbosity=0")  # another user may serve them


def run_or_stop(environment: dict[str, str], *command: str, umask: int = -1) -> None:
    if subprocess.run(manage(*command), env=environment, umask=umask).returncode:
        sys.exit(f"[start] stopped: `manage.py {command[0]}` failed")


MIGRATE = (("migrate", "--verbosity=0"), ("recount", "--if-empty"))


def run_demo() -> int:
    data = data_folder()
    make_private(data)
    environment = demo_environment(data)
    prepare(environment, *MIGRATE, ("demo",))
    port = choose_port(ONLY_HERE, os.environ.get("PORT"))
    return run_server(environment, ONLY_HERE, port, [f"open http://{ONLY_HERE}:{port}/   (Ctrl-C stops it)"])


def run_serve(tls_name: str | None) -> int:
    addresses = find_lan_addresses()
    environment = serve_environment(data_folder(), tls_name, addresses)
    prepare(environment, ("backup", "--before-update"), *MIGRATE, ("check_database",), ("first_owner",))
    with asked_again_and_again(manage("backup", "--if-due"), environment):
        return serve_shop(environment, tls_name, addresses)


def serve_shop(environment: dict[str, str], tls_name: str | None, addresses: list[str]) -> int:
    host = ONLY_HERE if tls_name else EVERYWHERE
    port = choose_port(host, os.environ.get("PORT") or SERVE_PORT)
    if tls_name:
        words = tls_words(tls_name, port)
        return run_server(environment, host, port, words, *FROM_PROXY, code=f"https://{tls_name}/")
    code = f"http://{addresses[0]}:{port}/" if addresses else ""
    return run_server(environment, host, port, http_words(addresses, port), code=code)


def http_words(addresses: list[str], port: int) -> list[str]:
    if not addresses:
        return [
            "this machine has no address on a network; only it can open",
            f"http://{ONLY_HERE}:{port}/   (Ctrl-C stops it)",
        ]
    return [
        "on this network, open",
        *(f"    http://{address}:{port}/" for address in addresses),
        "or scan the code above. Ctrl-C stops it.",
        "This is plain http: whoever is on this network can read what is sent, passwords too. Use it on",
        "the shop's own network only, never on one that guests or the Internet reach.",
        "With TLS: docs/deploy.md.",
    ]


def tls_words(name: str, port: int) -> list[str]:
    return [
        f"listening on {ONLY_HERE}:{port} for the TLS proxy that answers for https://{name}/",
        "or scan the code above. Ctrl-C stops it.",
        "Cookies are for https only; the proxy sends X-Forwarded-Proto and keeps Host: docs/deploy.md.",
    ]


def run_server(environment: dict[str, str], host: str, port: int, words: list[str], *flags: str, code: str = "") -> int:
    """Run the web server until it is stopped; its address is told once it answers."""
    command = [str(PYTHON), "-m", "waitress", f"--listen={host}:{port}", *limits(), *flags, "regrind.wsgi:application"]
    allow_open_files(2 * MOST_CONNECTIONS)
    server = subprocess.Popen(command, cwd=ROOT, env=environment, umask=PRIVATE)
    signal.signal(signal.SIGTERM, lambda *_: server.terminate())
    try:
        if wait_until_answers(port, lambda: server.poll() is None):
            announce(words, code, environment)
        return 0 if server.wait() == -signal.SIGTERM else server.returncode
    except KeyboardInterrupt:
        server.wait()
        return 0


def limits() -> tuple[str, ...]:
    """What the web server takes on: a browser holds six connections open, and sixty tablets must all get in.

    Without poll, on Windows, Python's select takes 512 sockets and no more; connections beyond the limit wait.
    """
    polls = hasattr(select, "poll")
    return (
        "--threads=8",
        f"--connection-limit={MOST_CONNECTIONS if polls else 480}",
        "--channel-timeout=60",
        f"--max-request-body-size={MOST_BODY}",
        *(("--asyncore-use-poll",) if polls else ()),
    )


def allow_open_files(number: int) -> None:
    """Raise this process's limit of open files, and that of the server it starts, as far as it may."""
    try:
        import resource
    except ImportError:  # Windows
        return
    soft, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = number if most == resource.RLIM_INFINITY else min(number, most)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, most))


def announce(words: list[str], code: str, environment: dict[str, str]) -> None:
    if code:
        subprocess.run([str(PYTHON), "-m", "scripts.show_code", code], cwd=ROOT, env=environment)
    for line in words:
        say(line)
