"""What is carried of other people's work is what vendor.json says, and a changed byte is found."""

import json
import shutil
from pathlib import Path

import pytest

from scripts import vendor


def test_every_carried_file_is_as_it_was_fetched():
    assert vendor.find_faults() == []


@pytest.fixture
def copy(tmp_path):
    """The carried folders and their list, to spoil."""
    for folder in vendor.FOLDERS:
        shutil.copytree(vendor.ROOT / folder, tmp_path / folder, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    shutil.copy(vendor.ROOT / "vendor.json", tmp_path)
    return tmp_path


def test_an_untouched_copy_has_no_faults(copy):
    assert vendor.find_faults(copy) == []


def test_one_altered_byte_is_found(copy):
    file = copy / "static/vendor/htmx-4.0.1.min.js"
    content = bytearray(file.read_bytes())
    content[1000] ^= 1
    file.write_bytes(content)
    assert vendor.find_faults(copy) == ["changed: static/vendor/htmx-4.0.1.min.js"]


def test_a_missing_file_is_found(copy):
    (copy / "static/fonts/OFL.txt").unlink()
    assert vendor.find_faults(copy) == ["missing: static/fonts/OFL.txt"]


def test_a_file_that_nobody_listed_is_found(copy):
    (copy / "static/vendor/extra.js").write_text("1")
    assert vendor.find_faults(copy) == ["not listed: static/vendor/extra.js"]


def test_the_list_names_exact_versions_and_no_hosts():
    text = (vendor.ROOT / "vendor.json").read_text()
    assert [(entry["package"], entry["version"]) for entry in json.loads(text)] == [
        (name, version) for name, version, _ in vendor.WANTED
    ]
    assert "http" not in text


def test_every_carried_file_has_its_licence_beside_it_and_its_notice():
    notices = (vendor.ROOT / "static/vendor/NOTICES.md").read_text()
    for entry in json.loads((vendor.ROOT / "vendor.json").read_text()):
        licences = [name for name in entry["files"] if "LICENSE" in name or name.endswith("OFL.txt")]
        folders = {str(Path(name).parent) for name in entry["files"]}
        assert {str(Path(name).parent) for name in licences} == folders
        assert all(folder in notices for folder in folders)


def test_scripts_name_no_source_map():
    for script in (vendor.ROOT / "static/vendor").glob("*.js"):
        assert b"sourceMappingURL" not in script.read_bytes()


def test_source_map_comments_are_taken_out_of_scripts_only():
    text = b"one()\n//# sourceMappingURL=x.map\ntwo()"
    assert vendor.without_source_map("a.js", text) == b"one()\ntwo()"
    assert vendor.without_source_map("a.txt", text) == text
