"""What is missing for a test is found out and named before the test is tried."""

import os
import sys

import pytest

from scripts import parts


def test_a_browser_named_in_the_environment_is_taken(monkeypatch):
    monkeypatch.setenv("CHROMIUM", "my-chromium")
    assert parts.find_chromium() == "my-chromium"


def test_a_machine_without_a_browser_is_told_how_to_get_one(monkeypatch):
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setattr(parts, "CHROMIUM_PLACES", ())
    monkeypatch.setattr(parts.shutil, "which", lambda name: None)
    assert "apt-get install chromium-headless-shell" in parts.lacking_chromium()


def test_a_machine_without_postgresql_is_told_how_to_get_it(monkeypatch):
    monkeypatch.setattr(parts, "find_postgres", lambda: None)
    assert "apt-get install postgresql" in parts.lacking_postgres() or parts.os.name == "nt"


@pytest.mark.skipif(os.name == "nt", reason="no such user there")
def test_root_without_a_user_for_the_server_is_told_so(monkeypatch):
    import pwd

    def unknown(name):
        raise KeyError(name)

    monkeypatch.setattr(pwd, "getpwnam", unknown)
    assert "no user postgres" in parts.lacking_postgres_user()


@pytest.mark.skipif(os.name == "nt", reason="the planted program is a shell script")
def test_a_driver_that_does_not_start_is_noticed(tmp_path):
    broken = tmp_path / "python"
    broken.write_text("#!/bin/sh\necho 'libatomic.so.1: cannot open' >&2\nexit 127\n")
    broken.chmod(0o755)
    assert parts.lacking_driver(str(broken)) == "Playwright's driver does not start: libatomic.so.1: cannot open"
    assert parts.lacking_driver(sys.executable) == ""
