from pathlib import Path

from regrind.secret import read_or_make


def test_a_key_is_made_once_and_kept_for_its_owner_alone(tmp_path):
    path = tmp_path / "secret"
    key = read_or_make(path)
    assert len(key) >= 50
    assert read_or_make(path) == key
    assert path.stat().st_mode & 0o077 == 0
    assert list(tmp_path.iterdir()) == [path]


def test_without_its_folder_nothing_is_left_behind(tmp_path):
    assert read_or_make(tmp_path / "none" / "secret") != read_or_make(tmp_path / "none" / "secret")
    assert not (tmp_path / "none").exists()


def test_an_empty_file_is_no_key(tmp_path):
    path = Path(tmp_path / "secret")
    path.touch()
    assert len(read_or_make(path)) >= 50
