"""Find the programs that some tests need and that Python packages do not bring. Standard library only."""

from __future__ import annotations

import glob
import os
import re
import shutil
import subprocess
from pathlib import Path

# The first draws no window of its own, which takes a third of a browser test's work.
CHROMIUM_NAMES = (
    "chromium-headless-shell",
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
)
CHROMIUM_PLACES = (
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
    r"C:\Program Files (x86)\Google\Chrome\Application\chrome.exe",
)
POSTGRES_PLACES = (
    "/usr/lib/postgresql/*/bin",
    "/usr/pgsql-*/bin",
    "/opt/homebrew/opt/postgresql@*/bin",
    "/usr/local/opt/postgresql@*/bin",
    "/Applications/Postgres.app/Contents/Versions/*/bin",
)


def find_chromium() -> str | None:
    """The browser named by CHROMIUM, else the first one found where systems put it."""
    if os.environ.get("CHROMIUM"):
        return os.environ["CHROMIUM"]
    on_path = (shutil.which(name) for name in CHROMIUM_NAMES)
    placed = (place for place in CHROMIUM_PLACES if Path(place).exists())
    return next(filter(None, on_path), None) or next(placed, None)


def find_postgres(places: tuple[str, ...] = POSTGRES_PLACES) -> Path | None:
    """The folder of PostgreSQL's server programs: PG_BIN, else the newest one installed, else the path's."""
    paths = [path for place in places for path in glob.glob(place)]
    paths.sort(key=lambda path: int(re.findall(r"\d+", path)[-1]), reverse=True)
    on_path = shutil.which("postgres")
    if on_path:
        paths.append(str(Path(on_path).resolve().parent))
    folders = (Path(folder) for folder in [os.environ.get("PG_BIN", ""), *paths] if folder)
    return next(filter(holds_server, folders), None)


def holds_server(folder: Path) -> bool:
    return all((folder / program).exists() for program in ("initdb", "postgres", "pg_isready", "psql"))


def lacking_chromium() -> str:
    """Why browser tests cannot run here; empty when they can."""
    return (
        ""
        if find_chromium()
        else "no Chromium (Debian: apt-get install chromium-headless-shell; CHROMIUM can name one)"
    )


def lacking_driver(python: str) -> str:
    """Why the browser cannot be driven from here; empty when it can. (A bare Debian lacks the driver's libatomic.)"""
    done = subprocess.run([python, "-m", "playwright", "--version"], capture_output=True, text=True)
    output = (done.stderr or done.stdout).strip().splitlines()
    return f"Playwright's driver does not start: {' '.join(output[-1:])}" if done.returncode else ""


def lacking_postgres() -> str:
    """Why tests on PostgreSQL cannot run here; empty when they can."""
    if os.name == "nt":
        return "a throw-away PostgreSQL is started on Linux and macOS only"
    if not find_postgres():
        return "no PostgreSQL server (Debian: apt-get install postgresql; PG_BIN can name its folder)"
    return lacking_postgres_user() if os.geteuid() == 0 else ""


def lacking_postgres_user() -> str:
    import pwd  # not on Windows

    try:
        pwd.getpwnam("postgres")
    except KeyError:
        return "PostgreSQL refuses to run as root, and there is no user postgres to run it as"
    return ""
