"""A file under its hash is whole or not there, however many writers keep it at once."""

import hashlib
import os
import stat
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest

from regrind.shop.files.file_references import store_file

pytestmark = pytest.mark.drill("files written at once, or cut off")


@pytest.fixture
def together(monkeypatch):
    """Four writers of which each waits, its file written, until all four have got so far."""
    barrier, replace = Barrier(4), os.replace

    def wait_and_replace(source, target):
        barrier.wait(timeout=30)
        replace(source, target)

    monkeypatch.setattr(os, "replace", wait_and_replace)


def test_four_who_keep_the_same_file_at_once_all_succeed(together, tmp_path):
    """A half named after the process alone would be gone for the second: threads of one server share it."""
    content = b"a paper" * 1_000
    path = tmp_path / "papers" / f"{hashlib.sha256(content).hexdigest()}.pdf"
    with ThreadPoolExecutor(4) as writers:
        done = [writers.submit(store_file, path, content) for _ in range(4)]
    assert [one.exception() for one in done] == [None] * 4
    assert list(path.parent.iterdir()) == [path]
    assert path.read_bytes() == content
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_half_that_cannot_be_finished_leaves_nothing(tmp_path, monkeypatch):
    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        store_file(tmp_path / "papers/x.pdf", b"x")
    assert list((tmp_path / "papers").iterdir()) == []


@pytest.mark.parametrize("there", [b"", b"a papes", b"a pape"])
def test_what_is_there_and_is_not_whole_is_written_anew(there, tmp_path):
    path = tmp_path / "x.pdf"
    path.write_bytes(there)
    store_file(path, b"a paper")
    assert path.read_bytes() == b"a paper"


def test_what_is_there_and_whole_stays_as_it_lies(tmp_path):
    path = tmp_path / "x.pdf"
    path.write_bytes(b"a paper")
    before = path.stat().st_ino
    store_file(path, b"a paper")
    assert path.stat().st_ino == before
