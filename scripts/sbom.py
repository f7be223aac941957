"""The list of all parts that come from elsewhere, as CycloneDX 1.6: python -m scripts.sbom [-o FILE]

From the locks and vendor.json, each part with its version and hashes; nothing is fetched. Standard library only.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import uuid
from pathlib import Path
from typing import Any

from regrind.version import VERSION
from scripts.environment import ROOT

LOCKS = ("runtime", "postgres")
PACKAGE = re.compile(r"^([a-z0-9-]+)==([^\s;\\]+)((?:.|\n)*?)(?=^[a-z0-9-]+==|\Z)", re.MULTILINE)
HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")


def packages(lock: str) -> list[dict[str, Any]]:
    """The packages of a lock's text."""
    return [
        {
            "type": "library",
            "bom-ref": f"pkg:pypi/{name}@{version}",
            "name": name,
            "version": version,
            "purl": f"pkg:pypi/{name}@{version}",
            "properties": [{"name": "sha256", "value": digest} for digest in HASH.findall(rest)],
        }
        for name, version, rest in PACKAGE.findall(lock)
    ]


def vendored(listing: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The files that the program carries, of vendor.json."""
    parts: list[dict[str, Any]] = []
    for one in listing:
        carried = {name: digest for name, digest in one["files"].items() if not name.startswith("tests/")}
        purl = f"pkg:npm/{one['package'].replace('@', '%40')}@{one['version']}"
        part = {"type": "library", "bom-ref": purl, "name": one["package"], "version": one["version"], "purl": purl}
        hashes = [{"name": f"sha256 of {name}", "value": digest} for name, digest in carried.items()]
        parts += [part | {"properties": hashes}] if carried else []
    return parts


def make() -> dict[str, Any]:
    """The whole list. The same parts give the same serial number."""
    parts = [part for lock in LOCKS for part in packages((ROOT / f"requirements/{lock}.txt").read_text())]
    parts += vendored(json.loads((ROOT / "vendor.json").read_text()))
    unique = list({part["bom-ref"]: part for part in parts}.values())
    serial = uuid.uuid5(uuid.NAMESPACE_URL, VERSION + json.dumps(unique, sort_keys=True))
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "serialNumber": f"urn:uuid:{serial}",
        "version": 1,
        "metadata": {"component": {"type": "application", "bom-ref": "regrind", "name": "regrind", "version": VERSION}},
        "components": unique,
    }


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("-o", "--output", type=Path)
    text = json.dumps(make(), indent=2, sort_keys=True) + "\n"
    output = parser.parse_args(arguments).output
    if output:
        output.write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
