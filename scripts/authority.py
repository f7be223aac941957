"""A shop's own small authority, and the certificate that it gives this computer: `tls/` in the data folder.

The authority may sign only for private addresses and for this shop's own names (RFC 5280, 4.2.1.10), so that whoever
got hold of its key could still not pose as anybody on the Internet. The leaf has its names in SAN, serverAuth, and at
most 825 days, as iPadOS wants it (support.apple.com/103769). Made by the openssl command; standard library only.
"""

from __future__ import annotations

import hashlib
import ipaddress
import shutil
import ssl
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

AUTHORITY_DAYS, LEAF_DAYS, RENEW_DAYS = 3650, 825, 60
PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8")
WINDOWS = (r"C:\Program Files\Git\usr\bin\openssl.exe", r"C:\Program Files\OpenSSL-Win64\bin\openssl.exe")
NO_OPENSSL = (
    "The openssl command makes the certificate, and it is not on this computer. Linux: apt install openssl. Windows: "
    "install Git for Windows, which brings it. Or put a TLS proxy in front: docs/deploy.md."
)


@dataclass(frozen=True)
class Certificates:
    """The files: the authority's certificate, which tablets get; the leaf with its key, which the server has."""

    authority: Path
    leaf: Path
    key: Path


def find_openssl() -> str:
    """The openssl command; ValueError where there is none."""
    command = shutil.which("openssl") or next((place for place in WINDOWS if Path(place).exists()), "")
    if not command:
        raise ValueError(NO_OPENSSL)
    return command


def openssl(*arguments: str, folder: Path) -> str:
    done = subprocess.run([find_openssl(), *arguments], cwd=folder, capture_output=True, text=True, umask=0o077)
    if done.returncode:
        raise ValueError(f"openssl {arguments[0]} failed: {done.stderr.strip()[-500:]}")
    return done.stdout


def is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def may_be_signed(name: str) -> bool:
    """Whether a name is this network's own: a private IPv4 address, or no address at all."""
    if not is_address(name):
        return True
    address = ipaddress.ip_address(name)
    return any(address in ipaddress.ip_network(network) for network in PRIVATE)


def authority_config(names: Sequence[str]) -> str:
    networks = [ipaddress.ip_network(network) for network in PRIVATE]
    permitted = [f"permitted;IP.{n} = {one.network_address}/{one.netmask}" for n, one in enumerate(networks)]
    hosts = dict.fromkeys([*(name for name in names if not is_address(name)), "localhost", "local"])
    permitted += [f"permitted;DNS.{n} = {name}" for n, name in enumerate(hosts)]
    return "\n".join(
        [
            "[req]\nprompt = no\ndistinguished_name = name\nx509_extensions = authority",
            "[name]\nCN = regrind, this shop's own authority",
            "[authority]\nbasicConstraints = critical, CA:TRUE, pathlen:0\nkeyUsage = critical, keyCertSign, cRLSign",
            "subjectKeyIdentifier = hash\nnameConstraints = critical, @permitted",
            "[permitted]",
            *permitted,
        ]
    )


def leaf_config(names: Sequence[str]) -> str:
    sans = [f"{'IP' if is_address(name) else 'DNS'}.{n} = {name}" for n, name in enumerate(names)]
    return "\n".join(
        [
            "[req]\nprompt = no\ndistinguished_name = name",
            f"[name]\nCN = {names[0][:60]}",
            "[leaf]\nbasicConstraints = critical, CA:FALSE\nkeyUsage = critical, digitalSignature",
            "extendedKeyUsage = serverAuth\nsubjectKeyIdentifier = hash\nauthorityKeyIdentifier = keyid",
            "subjectAltName = @names\n[names]",
            *sans,
        ]
    )


def certificates(data: Path, names: Sequence[str]) -> Certificates:
    """The shop's certificates for these names, made where they are missing, run out soon or lack a name."""
    folder = data / "tls"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    ours = [name for name in dict.fromkeys(names) if may_be_signed(name)]
    made = Certificates(folder / "authority.crt", folder / "server.crt", folder / "server.key")
    if not made.authority.exists():
        make_authority(folder, ours)
    if not is_good(made.leaf, ours):
        make_leaf(folder, ours)
    return made


def make_key(folder: Path, name: str) -> None:
    openssl("ecparam", "-name", "prime256v1", "-genkey", "-noout", "-out", name, folder=folder)


def make_authority(folder: Path, names: Sequence[str]) -> None:
    (folder / "authority.cnf").write_text(authority_config(names), encoding="utf-8")
    make_key(folder, "authority.key")
    command = ("req", "-new", "-x509", "-sha256", "-key", "authority.key", "-days", str(AUTHORITY_DAYS))
    openssl(*command, "-config", "authority.cnf", "-out", "authority.part", folder=folder)
    (folder / "authority.part").replace(folder / "authority.crt")


def make_leaf(folder: Path, names: Sequence[str]) -> None:
    (folder / "server.cnf").write_text(leaf_config(names), encoding="utf-8")
    make_key(folder, "server.key")
    openssl(
        "req", "-new", "-sha256", "-key", "server.key", "-config", "server.cnf", "-out", "server.csr", folder=folder
    )
    signed = ("x509", "-req", "-sha256", "-in", "server.csr", "-CA", "authority.crt", "-CAkey", "authority.key")
    more = (
        "-set_serial",
        str(time.time_ns()),
        "-days",
        str(LEAF_DAYS),
        "-extfile",
        "server.cnf",
        "-extensions",
        "leaf",
    )
    openssl(*signed, *more, "-out", "server.part", folder=folder)
    (folder / "server.part").replace(folder / "server.crt")


def is_good(leaf: Path, names: Sequence[str]) -> bool:
    """Whether the leaf is there, has all these names, and does not run out soon."""
    if not leaf.exists() or not leaf.with_suffix(".key").exists():
        return False
    text = openssl("x509", "-in", leaf.name, "-noout", "-text", folder=leaf.parent)
    signed = {part.strip().split(":", 1)[1] for part in san_line(text).split(",") if ":" in part}
    lasts = subprocess.run(
        [find_openssl(), "x509", "-in", str(leaf), "-noout", "-checkend", str(RENEW_DAYS * 86_400)],
        capture_output=True,
    )
    return set(names) <= signed and lasts.returncode == 0


def san_line(text: str) -> str:
    lines = text.splitlines()
    place = next((n for n, line in enumerate(lines) if "Subject Alternative Name" in line), None)
    return "" if place is None else lines[place + 1]


def fingerprint(certificate: Path) -> str:
    """SHA-256 of a certificate, as phones and browsers show it."""
    digest = hashlib.sha256(ssl.PEM_cert_to_DER_cert(certificate.read_text())).hexdigest().upper()
    return " ".join(digest[n : n + 4] for n in range(0, 64, 4))
