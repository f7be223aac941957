#!/usr/bin/env python3
"""Refresh or check what this project carries of other people's work.

    python -m scripts.vendor            fetch the exact versions again and write vendor.json (npm, fontTools)
    python -m scripts.vendor --check    compare every carried file with vendor.json (no network needed)

`npm pack` only downloads; no install script runs. vendor.json records package, version, the registry's
sha512 integrity and a sha256 per file, and no hosts. A package whose integrity changed is refused.
"""

from __future__ import annotations

import base64
import hashlib
import json
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
FONTS_PACKAGE = "@ibm/plex-sans"
# (package, version, {path here: member of the package})
WANTED = [
    (
        "htmx.org",
        "4.0.1",
        {"static/vendor/htmx-4.0.1.min.js": "dist/htmx.min.js", "static/vendor/htmx.LICENSE": "LICENSE"},
    ),
    (
        "axe-core",
        "4.14.1",
        {
            "tests/browser/axe/axe-4.14.1.min.js": "axe.min.js",
            "tests/browser/axe/axe.LICENSE": "LICENSE",
            "tests/browser/axe/axe.LICENSE-3RD-PARTY": "LICENSE-3RD-PARTY.txt",
        },
    ),
    (FONTS_PACKAGE, "1.1.0", {"static/fonts/OFL.txt": "LICENSE.txt", "regrind/paper/fonts/OFL.txt": "LICENSE.txt"}),
]
# Nothing else may lie in these folders; the notices are ours.
FOLDERS = ("static/vendor", "static/fonts", "tests/browser/axe", "regrind/paper/fonts")
OURS = {"static/vendor/NOTICES.md"}


def sha256_of(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def find_faults(root: Path = ROOT) -> list[str]:
    """What differs from vendor.json: missing, changed and unlisted files, one line each."""
    entries = json.loads((root / "vendor.json").read_text())
    listed = {name: want for entry in entries for name, want in entry["files"].items()}
    faults = []
    for name, want in sorted(listed.items()):
        if not (root / name).is_file():
            faults.append(f"missing: {name}")
        elif sha256_of(root / name) != want:
            faults.append(f"changed: {name}")
    lying = {
        path.relative_to(root).as_posix() for folder in FOLDERS for path in (root / folder).rglob("*") if path.is_file()
    }
    return faults + [f"not listed: {name}" for name in sorted(lying - set(listed) - OURS)]


def pack(name: str, version: str, folder: Path) -> tuple[Path, str]:
    """Download one package; its file and its integrity, which must be what the registry said."""
    command = [
        "npm",
        "pack",
        f"{name}@{version}",
        "--json",
        "--ignore-scripts",
        "--silent",
        "--pack-destination",
        str(folder),
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=folder)
    report = json.loads(done.stdout)
    report = report[0] if isinstance(report, list) else next(iter(report.values()))
    file = next(folder.glob("*.tgz"))
    integrity = "sha512-" + base64.b64encode(hashlib.sha512(file.read_bytes()).digest()).decode()
    if integrity != report["integrity"]:
        raise SystemExit(f"{name}@{version}: the file is not what the registry announced")
    return file, integrity


def without_source_map(path: str, content: bytes) -> bytes:
    """Scripts lose their source-map comment: the static files' storage would look for the map."""
    if not path.endswith(".js"):
        return content
    return b"\n".join(line for line in content.split(b"\n") if not line.startswith(b"//# sourceMappingURL"))


def refresh_package(
    name: str, version: str, members: dict[str, str], known: dict[tuple[str, str], str]
) -> dict[str, Any]:
    with tempfile.TemporaryDirectory() as folder:
        file, integrity = pack(name, version, Path(folder))
        if known.get((name, version), integrity) != integrity:
            raise SystemExit(f"{name}@{version}: the registry's file changed since vendor.json was written")
        with tarfile.open(file) as archive:
            contents = read_members(name, members, archive)
    return {"package": name, "version": version, "integrity": integrity, "files": write_files(contents)}


def read_members(name: str, members: dict[str, str], archive: tarfile.TarFile) -> dict[str, bytes]:
    """The files to write, by path; the fonts' package gives the fonts made from it."""

    def read(member: str) -> bytes:
        file = archive.extractfile(f"package/{member}")
        if file is None:
            raise SystemExit(f"{name}: {member} is not a file")
        return file.read()

    contents = {path: without_source_map(path, read(member)) for path, member in members.items()}
    if name == FONTS_PACKAGE:
        from scripts.make_fonts import make_fonts, read_sources  # needs fontTools, which --check does without

        contents |= make_fonts(read_sources(read))
    return contents


def write_files(contents: dict[str, bytes]) -> dict[str, str]:
    for path, content in contents.items():
        (ROOT / path).parent.mkdir(parents=True, exist_ok=True)
        (ROOT / path).write_bytes(content)
    return {path: sha256_of(ROOT / path) for path in sorted(contents)}


def refresh() -> None:
    lock = ROOT / "vendor.json"
    old = json.loads(lock.read_text()) if lock.exists() else []
    known = {(entry["package"], entry["version"]): entry["integrity"] for entry in old}
    entries = [refresh_package(name, version, members, known) for name, version, members in WANTED]
    lock.write_text(json.dumps(entries, indent=1) + "\n")


def main(arguments: list[str]) -> None:
    if arguments not in ([], ["--check"]):
        raise SystemExit(__doc__)
    if not arguments:
        refresh()
    faults = find_faults()
    if faults:
        raise SystemExit("vendored files differ from vendor.json\n" + "\n".join(faults))
    print("vendored files match vendor.json")


if __name__ == "__main__":
    main(sys.argv[1:])
