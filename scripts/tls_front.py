"""TLS in front of the web server, and the page that hands out the authority's certificate: python -m scripts.tls_front

    python -m scripts.tls_front --server 8001 --https 8443 --http 8000 --leaf … --key … --authority …

The https port passes each request on to the web server on this computer, with the address that it came from. One
request a connection: what follows its head can then be nothing but its body. Standard library only.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import ssl
import sys
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path

from scripts.tls_page import answer_plain

MOST_HEAD, HEAD_S, IDLE_S = 65_536, 30, 120
CHUNK = 65_536
# Set here alone, whatever came: the web server believes this computer.
OURS = {b"connection", b"keep-alive", b"proxy-connection", b"forwarded", b"upgrade"}
Reader = asyncio.StreamReader
Writer = asyncio.StreamWriter


@dataclass(frozen=True)
class Ports:
    server: int
    https: int
    http: int


class BadHead(Exception):
    """The request's head is none that this front passes on."""


def rewrite_head(head: bytes, address: str) -> bytes:
    """The head of a request for the web server: the same but for what only a proxy may say. BadHead where it is odd."""
    first, *lines = head[:-4].split(b"\r\n")
    if first.count(b" ") != 2 or not first.endswith((b" HTTP/1.1", b" HTTP/1.0")):
        raise BadHead
    passed = [line for line in lines if _is_passed_on(line)]
    ours = [b"X-Forwarded-For: " + address.encode(), b"X-Forwarded-Proto: https", b"Connection: close"]
    return b"\r\n".join([first, *passed, *ours]) + b"\r\n\r\n"


def _is_passed_on(line: bytes) -> bool:
    name, colon, _ = line.partition(b":")
    if not colon or not name or name != name.strip() or b"\n" in line or b"\r" in line or b"\0" in line:
        raise BadHead
    name = name.lower()
    return name not in OURS and not name.startswith((b"x-forwarded-", b"x_forwarded"))


async def pass_on(reader: Reader, writer: Writer) -> None:
    """Copy until the end, or until nothing has come for long."""
    while some := await asyncio.wait_for(reader.read(CHUNK), IDLE_S):
        writer.write(some)
        await writer.drain()


async def serve_https(ports: Ports, reader: Reader, writer: Writer) -> None:
    head = await asyncio.wait_for(reader.readuntil(b"\r\n\r\n"), HEAD_S)
    address = str(writer.get_extra_info("peername")[0])
    server_reader, server_writer = await asyncio.open_connection("127.0.0.1", ports.server)
    try:
        server_writer.write(rewrite_head(head, address))
        body = asyncio.create_task(pass_on(reader, server_writer))
        try:
            await pass_on(server_reader, writer)
        finally:
            body.cancel()
            with contextlib.suppress(asyncio.CancelledError, OSError, TimeoutError):
                await body
    finally:
        server_writer.close()


def guarded(
    serve: Callable[[Reader, Writer], Awaitable[None]],
) -> Callable[[Reader, Writer], Awaitable[None]]:
    """A connection that ends badly ends alone."""

    async def handle(reader: Reader, writer: Writer) -> None:
        try:
            await serve(reader, writer)
        except BadHead:
            writer.write(b"HTTP/1.1 400 Bad Request\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")
        except (OSError, TimeoutError, asyncio.IncompleteReadError, asyncio.LimitOverrunError):
            pass
        finally:
            with contextlib.suppress(OSError, TimeoutError):
                writer.close()
                await asyncio.wait_for(writer.wait_closed(), 10)

    return handle


def context_of(leaf: Path, key: Path) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_alpn_protocols(["http/1.1"])
    context.load_cert_chain(leaf, key)
    return context


async def run(ports: Ports, leaf: Path, key: Path, authority: Path) -> None:
    async def https(reader: Reader, writer: Writer) -> None:
        await serve_https(ports, reader, writer)

    async def plain(reader: Reader, writer: Writer) -> None:
        head = await asyncio.wait_for(reader.readuntil(b"\r\n\r\n"), HEAD_S)
        writer.write(answer_plain(head, authority, ports.https))
        await writer.drain()

    fronts = [
        await asyncio.start_server(
            guarded(https), "0.0.0.0", ports.https, ssl=context_of(leaf, key), ssl_handshake_timeout=20, limit=MOST_HEAD
        ),
        await asyncio.start_server(guarded(plain), "0.0.0.0", ports.http, limit=MOST_HEAD),
    ]
    await asyncio.gather(*(front.serve_forever() for front in fronts))


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name in ("server", "https", "http"):
        parser.add_argument(f"--{name}", type=int, required=True)
    for name in ("leaf", "key", "authority"):
        parser.add_argument(f"--{name}", type=Path, required=True)
    chosen = parser.parse_args(arguments)
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(run(Ports(chosen.server, chosen.https, chosen.http), chosen.leaf, chosen.key, chosen.authority))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
