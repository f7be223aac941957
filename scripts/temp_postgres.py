"""A throw-away PostgreSQL server for tests. Standard library only.

    with TempPostgres() as server: server.url
    python -m scripts.temp_postgres run -- COMMAND...      sets DATABASE_URL; the server goes when COMMAND ends

It listens on a socket in its own folder, so no port can clash and nothing is reached from outside. PostgreSQL
refuses to run as root; started by root, it runs as the user postgres.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.parse import quote

from scripts.parts import find_postgres

ROLE = DATABASE = "test"
# One that knows upper and lower case beyond ASCII, by the name each system has for it.
LOCALE = "en_US.UTF-8" if sys.platform == "darwin" else "C.UTF-8"
# For tests only: a crash of the machine may lose the whole cluster. No autovacuum: after tests that were rolled back it
# notes their tables as empty, and a join planned for empty tables crawls in the next test that fills them. Joins are
# made in the order they are written in: to look for a better one takes longer than to read a test's few rows.
CARELESS = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "wal_level": "minimal",
    "max_wal_senders": "0",
    "autovacuum": "off",
    "join_collapse_limit": "1",
    "from_collapse_limit": "1",
    "jit": "off",
}
SIGNALS = {"fast": "SIGINT", "immediate": "SIGQUIT", "kill": "SIGKILL"}  # by name: Windows has not all of them


class TempPostgres:
    def __init__(self, *, durable: bool = False, settings: dict[str, str] | None = None):
        programs = find_postgres()
        if programs is None:
            raise RuntimeError("no PostgreSQL server programs found")
        self.programs = programs
        self.settings = ({} if durable else CARELESS) | (settings or {})
        self.user = "postgres" if os.geteuid() == 0 else None
        # A short path: a socket's is limited to about 100 bytes.
        self.folder = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp" if Path("/tmp").is_dir() else None))
        self.process: subprocess.Popen[bytes] | None = None
        if self.user:
            shutil.chown(self.folder, self.user, self.user)

    @property
    def url(self) -> str:
        return f"postgres://{ROLE}@{quote(str(self.folder), safe='')}/{DATABASE}"

    @property
    def data(self) -> Path:
        return self.folder / "data"

    def start(self) -> TempPostgres:
        """Start the server, again on the data it had; RuntimeError with its log if it will not."""
        fresh = not (self.data / "PG_VERSION").exists()
        if fresh:
            self._run(
                "initdb",
                "-D",
                str(self.data),
                "-U",
                ROLE,
                "-A",
                "trust",
                "-E",
                "UTF8",
                f"--locale={LOCALE}",
                "--no-sync",
            )
        self._launch()
        self._wait()
        if fresh:
            self._run("createdb", "-h", str(self.folder), "-U", ROLE, DATABASE)
        return self

    def stop(self, how: str = "fast") -> None:
        """End the server: "fast", "immediate" (no checkpoint) or "kill" (no warning at all)."""
        if self.process and self.process.poll() is None:
            self.process.send_signal(getattr(signal, SIGNALS[how]))
            self.process.wait(30)

    def remove(self) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)

    def __enter__(self) -> TempPostgres:
        try:
            return self.start()
        except BaseException:
            self.__exit__()
            raise

    def __exit__(self, *problem: object) -> None:
        self.stop()
        self.remove()

    def _run(self, program: str, *arguments: str) -> None:
        done = subprocess.run(
            [str(self.programs / program), *arguments],
            cwd=self.folder,
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            user=self.user,
            group=self.user,
            extra_groups=[] if self.user else None,
        )
        if done.returncode:
            raise RuntimeError(f"{program} failed:\n{done.stdout[-2000:]}")

    def _launch(self) -> None:
        settings = {
            "listen_addresses": "",
            "unix_socket_directories": str(self.folder),
            "max_connections": "50",
            "shared_buffers": "128MB",
            **self.settings,
        }
        flags = [part for name, value in settings.items() for part in ("-c", f"{name}={value}")]
        with open(self.folder / "server.log", "ab") as log:
            # Its own session, so that Ctrl-C reaches the tests first and the server ends when they have.
            self.process = subprocess.Popen(
                [str(self.programs / "postgres"), "-D", str(self.data), *flags],
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                cwd=self.folder,
                start_new_session=True,
                user=self.user,
                group=self.user,
                extra_groups=[] if self.user else None,
            )

    def _wait(self, seconds: float = 60) -> None:
        ready = [str(self.programs / "pg_isready"), "-q", "-h", str(self.folder), "-U", ROLE]
        end = time.monotonic() + seconds
        while time.monotonic() < end and self.process and self.process.poll() is None:
            if subprocess.run(ready).returncode == 0:
                return
            time.sleep(0.05)
        raise RuntimeError("PostgreSQL did not start:\n" + (self.folder / "server.log").read_text()[-2000:])


def main(arguments: list[str]) -> int:
    if arguments[:2] != ["run", "--"] or not arguments[2:]:
        raise SystemExit(__doc__)
    # A stopped run must take its server with it.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    with TempPostgres() as server:
        return subprocess.run(arguments[2:], env={**os.environ, "DATABASE_URL": server.url}).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
