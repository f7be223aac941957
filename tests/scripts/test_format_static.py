"""The formatter of CSS and JavaScript: what it writes, what it only names, and that a second run changes nothing."""

import pytest

from scripts import format_static

UGLY = {"a.css": "p{color:red}\n", "b.js": "if(a){b()\n/* why */ }\n"}
NEAT = {"a.css": "p {\n  color: red\n}\n", "b.js": "if (a) {\n  b()\n  /* why */\n}\n"}


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "vendor").mkdir()
    for name, text in UGLY.items():
        (tmp_path / name).write_text(text)
        (tmp_path / "vendor" / name).write_text(text)
    return tmp_path


def read(folder):
    return {path.name: path.read_text() for path in folder.iterdir() if path.is_file()}


def test_a_check_names_the_files_and_writes_nothing(folder):
    assert [path.name for path in format_static.format_files(folder, check=True)] == ["a.css", "b.js"]
    assert read(folder) == UGLY


def test_formatted_files_stay_as_they_are(folder):
    format_static.format_files(folder, check=False)
    assert read(folder) == NEAT
    assert format_static.format_files(folder, check=False) == []


def test_vendored_files_are_left_alone(folder):
    format_static.format_files(folder, check=False)
    assert read(folder / "vendor") == UGLY


def test_an_unknown_argument_shows_the_usage():
    with pytest.raises(SystemExit, match="--check"):
        format_static.main(["--chekc"])


def test_a_formatter_that_never_rests_is_refused():
    with pytest.raises(ValueError, match="rest"):
        format_static.settle(lambda text: text + "x", "")
