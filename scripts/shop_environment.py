"""Where a shop's data lie, and the environment of the processes that work on them. Standard library only."""

from __future__ import annotations

import os
import socket
from pathlib import Path

from regrind import settings_file
from scripts.environment import ROOT

PRIVATE = 0o077  # files and folders of the shop's data: nobody else's business (POSIX; Windows has no such mask)
ONLY_HERE = "127.0.0.1"


def data_folder() -> Path:
    return Path(os.environ.get("REGRIND_DATA") or ROOT / "data").resolve()


def shop_settings(data: Path) -> dict[str, str]:
    """The environment with the values of the settings file for what it lacks; ValueError for a file that is no good."""
    return settings_file.merge(os.environ, data)


def level_of(environment: dict[str, str]) -> str:
    """The locks that a shop needs: PostgreSQL's driver only with that database."""
    uses_postgres = environment.get("DATABASE_URL", "").startswith("postgres")
    return "postgres" if uses_postgres else "runtime"


def demo_environment(data: Path) -> dict[str, str]:
    """SQLite in a folder of its own, whatever the shop's settings: invented data never meets real data."""
    inherited = {
        name: value for name, value in os.environ.items() if not name.startswith("REGRIND_") and name != "DATABASE_URL"
    }
    return (
        inherited
        | {"REGRIND_DEMO": "1", "REGRIND_DATA": str(data / "demo"), "REGRIND_HOSTS": f"localhost,{ONLY_HERE}"}
        | static_folder(data / "demo")
    )


def serve_environment(
    data: Path, tls_name: str | None, addresses: list[str], *, own_tls: bool = False
) -> dict[str, str]:
    """Hosts and cookies to match: https and one name behind a proxy, or our own addresses, by http or our own TLS."""
    name = socket.gethostname().lower()
    hosts = [tls_name] if tls_name else [*addresses, name, f"{name}.local", "localhost", ONLY_HERE]
    ours = {
        "REGRIND_TLS": "1" if tls_name else "own" if own_tls else "",
        "REGRIND_BEHIND_PROXY": "1" if tls_name or own_tls else "",
        "REGRIND_OWN_ADDRESSES": "" if tls_name else "1",
        "REGRIND_OWN_HOSTS": ",".join(dict.fromkeys(hosts)),
        "REGRIND_DATA": str(data),
        "REGRIND_DEMO": "",
        "REGRIND_DEBUG": "",
    }
    if os.environ.get("REGRIND_BACKUPS"):  # as the caller wrote it; the server runs in another folder
        ours["REGRIND_BACKUPS"] = str(Path(os.environ["REGRIND_BACKUPS"]).resolve())
    return os.environ | ours | static_folder(data)


def static_folder(data: Path) -> dict[str, str]:
    """Where the gathered static files go: in the data folder where the program's own folder is another user's."""
    folder = ROOT / "staticfiles"
    if os.access(folder if folder.is_dir() else ROOT, os.W_OK):
        return {}
    return {"REGRIND_STATIC": str(data / "static")}


def log_file(data: Path, name: str = "regrind") -> Path:
    """One process writes it: a log that two turn over loses lines."""
    return data / "logs" / f"{name}.log"


def make_private(data: Path) -> None:
    """The data folder and what lies in it, for its owner's eyes alone; one that an earlier program left open too."""
    for folder in (*reversed(data.parents), data):
        if not folder.is_dir():
            folder.mkdir(mode=0o700)
    data.chmod(0o700)
    for file in data.iterdir():
        if file.is_file() and not file.is_symlink():
            file.chmod(0o600)
