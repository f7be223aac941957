"""`start.py serve --https`: TLS with the shop's own authority, on every system and without another program but openssl.

Standard library only.
"""

from __future__ import annotations

import socket
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from scripts.authority import Certificates, certificates, fingerprint, may_be_signed
from scripts.environment import PYTHON

HTTPS_PORT = "8443"
FRONT_FAILED = 3


@dataclass(frozen=True)
class Front:
    """What stands before the web server: its certificates, ports, and the addresses that tablets open."""

    made: Certificates
    http: int
    https: int
    addresses: tuple[str, ...]
    unsigned: tuple[str, ...] = ()  # this machine's addresses outside the private ranges

    def command(self, server: int) -> list[str]:
        ports = ["--server", str(server), "--https", str(self.https), "--http", str(self.http)]
        files = ["--leaf", str(self.made.leaf), "--key", str(self.made.key), "--authority", str(self.made.authority)]
        return [str(PYTHON), "-m", "scripts.tls_front", *ports, *files]

    def words(self) -> list[str]:
        """What to tell who starts it: how a tablet opens the shop, and which addresses have no certificate."""
        lines = self._how_to_open()
        if self.unsigned:
            lines += [
                f"No certificate for {', '.join(self.unsigned)}: the shop's own authority signs for private addresses",
                "alone. To be reached from there, use a TLS proxy and a name: serve --tls NAME.",
            ]
        return lines

    def _how_to_open(self) -> list[str]:
        if not self.addresses:
            return [f"https://localhost:{self.https}/   (only this machine can open it; Ctrl-C stops it)"]
        return [
            "once for each tablet: open this address, or scan the code above, and follow the page",
            *(f"    http://{address}:{self.http}/" for address in self.addresses),
            "the tablet's fingerprint of the certificate must be",
            f"    {fingerprint(self.made.authority)}",
            "from then on, open",
            *(f"    https://{address}:{self.https}/" for address in self.addresses),
            "Ctrl-C stops it.",
        ]

    def code(self) -> str:
        return f"http://{self.addresses[0]}:{self.http}/" if self.addresses else ""


def make_front(data: Path, addresses: Sequence[str], more: Sequence[str], http: int, https: int) -> Front:
    """The front with its certificates, made where need be. ValueError where openssl is missing or fails."""
    name = socket.gethostname().lower()
    signed = tuple(address for address in addresses if may_be_signed(address))
    made = certificates(data, [*signed, name, f"{name}.local", "localhost", "127.0.0.1", *more])
    return Front(made, http, https, signed, tuple(address for address in addresses if address not in signed))


def wait_for_either(server: subprocess.Popen[bytes], front: subprocess.Popen[bytes]) -> int:
    """Wait until one of the two ends, end the other, and return the server's code; FRONT_FAILED where the front did."""
    while server.poll() is None and front.poll() is None:
        time.sleep(0.2)
    failed = server.poll() is None
    for one in (server, front):
        one.terminate()
    code = server.wait()
    front.wait()
    return FRONT_FAILED if failed else code
