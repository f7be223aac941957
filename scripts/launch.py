"""The commands of start.py. Standard library only: it runs before anything is installed."""

from __future__ import annotations

import argparse
import os
import select
import signal
import subprocess
import sys
from pathlib import Path

from regrind import settings_file
from regrind.version import VERSION
from scripts import service
from scripts.environment import PYTHON, ROOT, ensure, say
from scripts.mailing import sending_mail
from scripts.network import choose_port, find_lan_addresses, wait_until_answers
from scripts.nightly import asked_again_and_again
from scripts.own_tls import FRONT_FAILED, HTTPS_PORT, Front, make_front, wait_for_either
from scripts.shop_environment import (
    ONLY_HERE,
    PRIVATE,
    data_folder,
    demo_environment,
    level_of,
    log_file,
    make_private,
    serve_environment,
    shop_settings,
)
from scripts.start_log import write_into
from scripts.steps import FAST_HELP, Options, format_all, run_all

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
    serve.add_argument("--https", action="store_true", help="TLS with a certificate of the shop's own, for its network")
    serve.add_argument("--data", metavar="FOLDER", help="the shop's data, instead of REGRIND_DATA")
    serve.add_argument("--log", action="store_true", help="write what it prints into logs/start.log of the data folder")
    serve.add_argument("--only-prepare", action="store_true", help="bring the database up to date, and stop")
    commands.add_parser("settings", help="write the settings file if there is none; say where everything lies")
    servant = commands.add_parser("service", help="start with this machine, and again after a failure")
    servant.add_argument("do", choices=("install", "remove", "status"))
    servant.add_argument("--user", default="", metavar="NAME", help="who the program runs as, where root installs it")
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
        return run_shop(chosen)
    except ValueError as problem:
        sys.exit(str(problem))
    except OSError as problem:
        if problem.filename is None:
            raise
        sys.exit(f"{problem.filename} cannot be used: {problem.strerror}. It must be a folder of whoever runs this.")
    except KeyboardInterrupt:
        sys.exit("[start] stopped")


def run_shop(chosen: argparse.Namespace) -> int:
    if chosen.command == "demo":
        return run_demo()
    if chosen.command == "settings":
        return run_settings()
    if chosen.command == "service":
        tasks = {"install": lambda: service.install(chosen.user), "remove": service.remove, "status": service.status}
        return tasks[chosen.do]()
    if chosen.data:
        os.environ["REGRIND_DATA"] = str(Path(chosen.data).resolve())
    if chosen.log:
        write_into(log_file(data_folder(), "start"))
    if chosen.https:
        os.environ.setdefault("REGRIND_HTTPS_PORT", HTTPS_PORT)
    return run_serve(chosen.tls, only_prepare=chosen.only_prepare)


def run_settings() -> int:
    """Write the settings file where there is none, and say where everything lies."""
    data = data_folder()
    shop_settings(data)  # one that is no good is said, not written over
    path = data / settings_file.NAME
    if not path.exists():
        make_private(data)
        settings_file.write(data, settings_file.draft())
        say(f"{path} is written. Nothing in it counts yet: open it in an editor.")
    for line in service.places(data):
        say(line)
    return 0


def manage(*arguments: str) -> list[str]:
    """A command of Django's; it runs in the folder of whoever called, so that the paths given to it are theirs."""
    return [str(PYTHON), str(ROOT / "manage.py"), *arguments]


def run_manage(arguments: list[str]) -> int:
    try:
        ensure(level_of(shop_settings(data_folder())))
    except settings_file.SettingsError as problem:
        sys.exit(str(problem))
    return subprocess.run(manage(*arguments), umask=PRIVATE).returncode


def prepare(environment: dict[str, str], *commands: tuple[str, ...]) -> None:
    """Run commands one after the other, then gather the static files; one that fails ends all."""
    data = Path(environment["REGRIND_DATA"])
    ensure(level_of(settings_file.merge(environment, data)))
    make_private(data)
    for command in commands:
        run_or_stop(environment, *command, umask=PRIVATE)
    run_or_stop(environment, "collectstatic", "--noinput", "--verbosity=0")  # another user may serve them


def run_or_stop(environment: dict[str, str], *command: str, umask: int = -1) -> None:
    if subprocess.run(manage(*command), env=environment, umask=umask).returncode:
        sys.exit(f"[start] stopped: `manage.py {command[0]}` failed")


MIGRATE = (("migrate", "--verbosity=0", "--skip-checks"), ("recount", "--if-empty"))


def run_demo() -> int:
    data = data_folder()
    make_private(data)
    port = choose_port(ONLY_HERE, os.environ.get("PORT"))
    environment = demo_environment(data) | {"REGRIND_PUBLIC_ADDRESS": f"http://{ONLY_HERE}:{port}"}  # links open here
    prepare(environment, *MIGRATE, ("demo",))
    return run_server(environment, ONLY_HERE, port, [f"open http://{ONLY_HERE}:{port}/   (Ctrl-C stops it)"])


def run_serve(tls_name: str | None, *, only_prepare: bool = False) -> int:
    addresses, data = find_lan_addresses(), data_folder()
    known = shop_settings(data)
    tls_name = tls_name or known.get("REGRIND_TLS_NAME")
    own_tls = bool(known.get("REGRIND_HTTPS_PORT")) and not tls_name
    environment = serve_environment(data, tls_name, addresses, own_tls=own_tls)
    prepare(environment, ("backup", "--before-update"), *MIGRATE, ("check_database",), ("first_owner",))
    if only_prepare:
        return 0
    beside = environment | {"REGRIND_LOG_FILE": str(log_file(data, "backups"))}
    with asked_again_and_again(manage("backup", "--if-due"), beside), sending_mail(manage("mail"), environment, data):
        return serve_shop(environment | {"REGRIND_LOG_FILE": str(log_file(data))}, tls_name, addresses)


def serve_shop(environment: dict[str, str], tls_name: str | None, addresses: list[str]) -> int:
    host = ONLY_HERE if tls_name else EVERYWHERE
    data = Path(environment["REGRIND_DATA"])
    known = shop_settings(data)
    port = choose_port(host, known.get("PORT") or SERVE_PORT)
    where = service.places(data)
    if environment["REGRIND_TLS"] == "own":
        https = choose_port(host, known["REGRIND_HTTPS_PORT"])
        front = make_front(data, addresses, split_names(known.get("REGRIND_HOSTS", "")), port, https)
        behind = choose_port(ONLY_HERE, None, first=18_000)
        words = [*front.words(), *where]
        return run_server(environment, ONLY_HERE, behind, words, *FROM_PROXY, code=front.code(), front=front)
    if tls_name:
        words = [*tls_words(tls_name, port), *where]
        return run_server(environment, host, port, words, *FROM_PROXY, code=f"https://{tls_name}/")
    code = f"http://{addresses[0]}:{port}/" if addresses else ""
    return run_server(environment, host, port, [*http_words(addresses, port), *where], code=code)


def split_names(text: str) -> list[str]:
    return [name.strip() for name in text.split(",") if name.strip()]


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
        "With TLS: start.py serve --https, or docs/deploy.md.",
    ]


def tls_words(name: str, port: int) -> list[str]:
    return [
        f"listening on {ONLY_HERE}:{port} for the TLS proxy that answers for https://{name}/",
        "or scan the code above. Ctrl-C stops it.",
        "Cookies are for https only; the proxy sends X-Forwarded-Proto and keeps Host: docs/deploy.md.",
    ]


def run_server(
    environment: dict[str, str],
    host: str,
    port: int,
    words: list[str],
    *flags: str,
    code: str = "",
    front: Front | None = None,
) -> int:
    """Run the web server until it is stopped; its address is told once it answers."""
    command = [str(PYTHON), "-m", "waitress", f"--listen={host}:{port}", *limits(), *flags, "regrind.wsgi:application"]
    allow_open_files(2 * MOST_CONNECTIONS)
    server = subprocess.Popen(command, cwd=ROOT, env=environment, umask=PRIVATE)
    signal.signal(signal.SIGTERM, lambda *_: server.terminate())
    try:
        if wait_until_answers(port, lambda: server.poll() is None):
            beside = subprocess.Popen(front.command(port), cwd=ROOT, env=environment) if front else None
            announce(words, code, environment)
            if beside and wait_for_either(server, beside) == FRONT_FAILED:
                return FRONT_FAILED
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
