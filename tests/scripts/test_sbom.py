"""The list of parts: everything that is locked or carried is in it, with its version and hashes."""

import json
import re
import subprocess
import sys

from scripts import sbom
from scripts.environment import ROOT


def locked():
    """The packages of both locks by another reading than the program's: one a line."""
    text = "".join((ROOT / f"requirements/{name}.txt").read_text() for name in ("runtime", "postgres"))
    return {tuple(re.split(r"==|[ ;]", line)[:2]) for line in text.splitlines() if re.match(r"[a-z]", line)}


def test_every_locked_and_vendored_part_is_in_it():
    made = sbom.make()
    there = {(part["name"], part["version"]) for part in made["components"]}
    assert locked() <= there
    carried = {one["package"] for one in json.loads((ROOT / "vendor.json").read_text())} - {"axe-core"}  # of the tests
    assert carried <= {name for name, _ in there}
    assert len(made["components"]) == len(locked()) + len(carried)
    assert all(part["properties"] for part in made["components"])


def test_it_has_the_parts_that_its_format_asks_for():
    """cyclonedx.org/docs/1.6/json: bomFormat and specVersion are needed; a component has type and name; refs differ."""
    made = sbom.make()
    assert (made["bomFormat"], made["specVersion"], made["version"]) == ("CycloneDX", "1.6", 1)
    assert re.fullmatch(r"urn:uuid:[0-9a-f]{8}-([0-9a-f]{4}-){3}[0-9a-f]{12}", made["serialNumber"])
    references = [part["bom-ref"] for part in made["components"]]
    assert len(references) == len(set(references))
    assert all(re.fullmatch(r"pkg:(pypi|npm)/[^@\s]+@[^\s]+", part["purl"]) for part in made["components"])


def test_a_changed_lock_is_another_list(monkeypatch):
    before = sbom.make()["serialNumber"]
    assert sbom.make()["serialNumber"] == before
    monkeypatch.setattr(sbom, "LOCKS", ("runtime",))
    assert sbom.make()["serialNumber"] != before


def test_the_command_writes_a_file(tmp_path):
    file = tmp_path / "sbom.json"
    subprocess.run([sys.executable, "-m", "scripts.sbom", "-o", str(file)], cwd=ROOT, check=True)
    assert json.loads(file.read_text()) == sbom.make()
