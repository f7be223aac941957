"""This machine's addresses and free ports. Standard library only; nothing is sent anywhere."""

from __future__ import annotations

import ipaddress
import socket
import struct
import sys
import time
from collections.abc import Callable

ASK_ADDRESS = 0xC0206921 if sys.platform == "darwin" else 0x8915  # SIOCGIFADDR
NOWHERE = ("192.0.2.1", 9)  # TEST-NET-1 (RFC 5737); connecting a datagram socket sends nothing


def address_towards(target: tuple[str, int] = NOWHERE) -> str | None:
    """The address from which this machine would reach others, or None without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(target)
        except OSError:
            return None
        return str(probe.getsockname()[0])


def addresses_of_name() -> list[str]:
    try:
        entries = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return []
    return [str(entry[4][0]) for entry in entries]


def addresses_of_interfaces() -> list[str]:
    """The address of each interface, also where no route leads out. Windows: `addresses_of_name` knows them all."""
    try:
        import fcntl
    except ImportError:
        return []
    addresses = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        for _, name in socket.if_nameindex():
            try:
                answer = fcntl.ioctl(probe, ASK_ADDRESS, struct.pack("256s", name.encode()[:15]))
            except OSError:  # it has none
                continue
            addresses.append(socket.inet_ntoa(answer[20:24]))  # ifreq: 16 of name, then sockaddr_in
    return addresses


def is_reachable(address: str) -> bool:
    """True for an address that another device may use: no loopback, no self-given (link-local) one."""
    number = ipaddress.ip_address(address)
    return not (number.is_loopback or number.is_link_local or number.is_unspecified or number.is_multicast)


def lan_addresses(first: str | None, others: list[str]) -> list[str]:
    """The reachable ones, each once, the one that routes use first."""
    candidates = [first, *others] if first else others
    return [address for address in dict.fromkeys(candidates) if is_reachable(address)]


def find_lan_addresses() -> list[str]:
    return lan_addresses(address_towards(), [*addresses_of_interfaces(), *addresses_of_name()])


def can_listen(host: str, port: int) -> bool:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except (OSError, OverflowError):
            return False
    return not answers(port)


def answers(port: int) -> bool:
    """True if something on this machine accepts connections at the port."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.settimeout(0.5)
        return probe.connect_ex(("127.0.0.1", port)) == 0


NAME_PORT = "Name another one in the settings file (port, https_port) or in the variable PORT."


def choose_port(host: str, wish: str | None, first: int = 8000) -> int:
    """The wished port, or without a wish the first free one of twenty; ValueError says why there is none."""
    if wish:
        if not (wish.isascii() and wish.isdigit() and 0 < int(wish) < 65536):
            raise ValueError(f"The port is {wish!r}; a whole number from 1 to 65535 is needed. {NAME_PORT}")
        if not can_listen(host, int(wish)):
            raise ValueError(f"Port {wish} is in use, or not allowed. {NAME_PORT}")
        return int(wish)
    free = (port for port in range(first, first + 20) if can_listen(host, port))
    port = next(free, None)
    if port is None:
        raise ValueError(f"There is no free port from {first} to {first + 19}. {NAME_PORT}")
    return port


def wait_until_answers(port: int, still_running: Callable[[], bool], seconds: float = 60) -> bool:
    """Wait for a server that was just started; False if it ended or never answered."""
    end = time.monotonic() + seconds
    while time.monotonic() < end and still_running():
        if answers(port):
            return True
        time.sleep(0.1)
    return False
