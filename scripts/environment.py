"""Build .venv from the locked requirements; again when the lock or Python changed. Standard library only."""

from __future__ import annotations

import hashlib
import importlib.util
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PROGRAMS = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = PROGRAMS / ("python.exe" if os.name == "nt" else "python")
NO_NETWORK = (
    "NewConnectionError",
    "Temporary failure in name resolution",
    "ConnectTimeout",
    "ProxyError",
    "Max retries exceeded",
    "Network is unreachable",
)
# PostgreSQL's driver has no wheel for Windows on ARM or 32-bit ARM: only who uses that database needs it.
LOCKS = {
    "runtime": ("runtime.txt",),
    "postgres": ("runtime.txt", "postgres.txt"),
    "dev": ("runtime.txt", "postgres.txt", "dev.txt"),
}


def say(*words: object) -> None:
    print("[start]", *words, flush=True)


def script(name: str) -> str:
    """The path of a program that a package put into .venv."""
    return str(PROGRAMS / (f"{name}.exe" if os.name == "nt" else name))


def stamp_of(level: str, root: Path = ROOT) -> str:
    """What .venv must have been built from: this Python, this place and these locks."""
    digest = hashlib.sha256(f"{sys.implementation.cache_tag} {root / '.venv'}".encode())
    for name in LOCKS[level]:
        digest.update((root / "requirements" / name).read_bytes())
    return digest.hexdigest()


def is_current(level: str, root: Path = ROOT, python: Path = PYTHON) -> bool:
    """True if .venv was finished at this level, or one that includes it, from the present lock and Python."""
    if not python.exists():  # also false for a link to a Python that is gone
        return False
    enough = [name for name in LOCKS if set(LOCKS[level]) <= set(LOCKS[name])]
    marks = ((root / ".venv" / f".built-{name}", name) for name in enough)
    return any(mark.is_file() and mark.read_text() == stamp_of(name, root) for mark, name in marks)


def has_module(name: str) -> bool:
    return importlib.util.find_spec(name) is not None


def find_missing() -> str:
    """What Python lacks to build .venv, in words; empty if nothing."""
    if all(has_module(name) for name in ("venv", "ensurepip")):  # Debian packages them apart from Python
        return ""
    return (
        "Python's venv module is missing. On Debian or Ubuntu: apt install python3-venv\n"
        "Elsewhere: install Python from python.org, or your system's full Python package."
    )


def explain_failure(output: str) -> str:
    """Say why pip failed, from what it printed."""
    if "DO NOT MATCH THE HASHES" in output:
        return "A downloaded file is not the one that the lock names; nothing was installed from it."
    if any(sign in output for sign in NO_NETWORK):
        return "No network, or the package index cannot be reached. Run the same command again when it can."
    if "No matching distribution" in output:
        return "The package index has no file of a locked package for this Python and system."
    if "No space left" in output:
        return "The disk is full."
    return "The packages could not be installed; pip's words are above."


def ensure(level: str) -> None:
    """Leave with a .venv that holds the locks of this level, or with a plain message."""
    if is_current(level):
        return
    missing = find_missing()
    if missing:
        sys.exit(missing)
    below = [name for name in LOCKS if set(LOCKS[name]) < set(LOCKS[level])]
    if not any(is_current(name) for name in below):
        create()
    install(level)


def create() -> None:
    import venv

    if VENV.is_symlink():  # making it anew would empty the folder that it leads to
        sys.exit(".venv is a link to another folder, and is not of this Python and these locks: take the link away.")
    say("making .venv")
    try:
        venv.EnvBuilder(with_pip=True, clear=True, symlinks=os.name != "nt").create(VENV)
    except (OSError, subprocess.CalledProcessError) as problem:
        sys.exit(
            f"The folder .venv could not be made: {problem}\n"
            "Is the disk full? On Debian or Ubuntu: apt install python3-venv. Is the folder another user's? Then that "
            f"user makes it once: python3 {ROOT / 'start.py'} manage version"
        )


def install(level: str) -> None:
    say("installing the locked packages, each checked by its hash")
    # The locks are complete, so nothing is resolved: a resolver looks at newer releases, which have no hash in a lock.
    command = [
        str(PYTHON),
        "-m",
        "pip",
        "install",
        "--quiet",
        "--disable-pip-version-check",
        "--no-input",
        "--require-hashes",
        "--no-deps",
    ]
    for name in LOCKS[level]:
        command += ["-r", str(ROOT / "requirements" / name)]
    done = subprocess.run(command, text=True, errors="replace", stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    if done.returncode:
        print(done.stdout[-4000:], file=sys.stderr)
        sys.exit(explain_failure(done.stdout))
    for name in LOCKS:
        if set(LOCKS[name]) <= set(LOCKS[level]):
            (VENV / f".built-{name}").write_text(stamp_of(name))
