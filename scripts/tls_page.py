"""What the plain http port answers where the shop is served with TLS: the certificate, and how a tablet takes it.

Standard library only.
"""

from __future__ import annotations

import html
import re
from pathlib import Path

from scripts.authority import fingerprint

HOST = re.compile(rb"^host:[ \t]*([A-Za-z0-9.-]{1,253})(?::\d{1,5})?[ \t]*$", re.IGNORECASE | re.MULTILINE)
PAGE = Path(__file__).with_suffix(".html")


def answer_plain(head: bytes, authority: Path, https_port: int) -> bytes:
    """The whole answer to a request's head: the certificate, or the page, whatever else was asked for."""
    path = head.split(b" ", 2)[1:2]
    if path == [b"/authority.crt"]:
        disposition = 'Content-Disposition: attachment; filename="authority.crt"'
        return respond("application/x-x509-ca-cert", authority.read_bytes(), disposition)
    host = HOST.search(head.replace(b"\r\n", b"\n"))
    https = f"https://{host[1].decode() if host else 'localhost'}:{https_port}/"
    page = PAGE.read_text(encoding="utf-8").format(https=html.escape(https), fingerprint=fingerprint(authority))
    return respond("text/html; charset=utf-8", page.encode())


def respond(kind: str, body: bytes, *headers: str) -> bytes:
    lines = [
        "HTTP/1.1 200 OK",
        f"Content-Type: {kind}",
        f"Content-Length: {len(body)}",
        "Cache-Control: no-store",
        "Content-Security-Policy: default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'",
        "X-Content-Type-Options: nosniff",
        "Connection: close",
        *headers,
    ]
    return "\r\n".join(lines).encode() + b"\r\n\r\n" + body
