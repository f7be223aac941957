"""The page that tells how a kind is added: its example is run as it stands there."""

import re
from pathlib import Path

import pytest

from regrind.geometry.errors import Refused
from regrind.geometry.kinds.plan import answer_case

PAGE = (Path(__file__).resolve().parents[3] / "docs" / "add-a-kind.md").read_text(encoding="utf-8")
CASE = {
    "tool": {"kind": "counterbore", "flute_length": "30 mm"},
    "damage": [{"end_depth": "0.4 mm"}],
    "allow": {"finish": "0.1 mm"},
    "limits": {"usable_length": "20 mm"},
    "typical": {"cut_back": "1 mm"},
    "uncertainty": {"damage": "0.03 mm", "flute_length": "0.04 mm"},
}


@pytest.fixture(scope="module")
def kind():
    (code,) = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)
    module = {"__name__": "counterbore"}
    exec(compile(code, "add-a-kind.md", "exec"), module)
    return module["KIND"]


def test_the_example_is_planned(kind):
    answer = answer_case(CASE, kind)
    (option,) = answer["options"]
    assert (option["grind"], option["verdict"], option["regrinds_left"]) == (["end"], "grind", 9)
    assert option["usable_length_mm"] == pytest.approx(29.5)
    assert option["limits"][0]["expanded_uncertainty"] == pytest.approx(0.1)
    assert answer_case({**CASE, "damage": []}, kind)["verdict"] == "sound"


def test_the_example_refuses_what_it_does_not_know(kind):
    with pytest.raises(Refused) as refused:
        answer_case({**CASE, "hole": {}}, kind)
    assert refused.value.field == "hole"


def test_every_name_on_the_page_is_there():
    import regrind.geometry.kinds.kind as interface

    for owner, name in re.findall(r"`(Checked|Option)\.(\w+)`", PAGE):
        assert name in getattr(interface, owner).__slots__
    for name in re.findall(r"`(\w+\.py)`", PAGE):
        folders = (Path(interface.__file__).parent, Path(__file__).parent)
        assert any((folder / name).exists() for folder in folders), name
