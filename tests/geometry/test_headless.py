"""The command: one line per case, refusals by field on the other stream, and nothing that brings it down."""

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.example import CASE
from regrind.geometry.json_cli import answer_cases
from tests.geometry.tool_strategies import change
from tests.long_form import FULL

ROOT = Path(__file__).resolve().parents[2]
GOOD = json.dumps(CASE)


def _run(*names, stdin=None, monkeypatch=None):
    """Exit status, answers and refusals of the command, in this process."""
    out, err, status = io.StringIO(), io.StringIO(), 0
    if stdin is not None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin)))
    try:
        call_command("plan", *map(str, names), stdout=out, stderr=err)
    except SystemExit as stop:
        status = stop.code
    return status, [json.loads(line) for line in out.getvalue().splitlines()], err.getvalue().splitlines()


def _file(tmp_path, content, name="CASE.json"):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def test_one_object_over_many_lines_is_line_1(tmp_path):
    status, answers, refused = _run(_file(tmp_path, "\n" + json.dumps(CASE, indent=2) + "\n\n"))
    assert (status, refused) == (0, [])
    assert [answer["line"] for answer in answers] == [1]
    assert list(answers[0]) == ["line", "options", "recommended", "verdict", "reasons", "defaults"]


def test_json_lines_are_answered_each_by_itself(tmp_path):
    bad = json.dumps(change(CASE, "tool.teeth", 1))
    path = _file(tmp_path, f"{GOOD}\r\n\n{bad}\nnonsense\n{GOOD}")
    status, answers, refused = _run(path)
    assert status == 2
    assert [answer["line"] for answer in answers] == [1, 5]
    assert len(refused) == 2
    assert refused[0] == f"{path}:3: tool.teeth: must be a whole number from 2 to 99"
    assert refused[1].startswith(f"{path}:4: case: is not JSON")


def test_standard_input_and_several_files(tmp_path, monkeypatch):
    path = _file(tmp_path, GOOD)
    status, answers, refused = _run(path, "-", path, stdin=GOOD.encode(), monkeypatch=monkeypatch)
    assert (status, len(answers), refused) == (0, 3, [])
    status, answers, refused = _run("-", stdin=b"{}", monkeypatch=monkeypatch)
    assert (status, answers) == (2, [])
    assert refused == [
        "-:1: tool: is missing, and required; measured: is missing, and required; allow: is missing, and required"
    ]


def test_a_file_that_is_not_there_is_refused_and_the_next_is_answered(tmp_path):
    status, answers, refused = _run(tmp_path / "none.json", _file(tmp_path, GOOD))
    assert (status, len(answers), len(refused)) == (2, 1, 1)
    assert "cannot be read" in refused[0]


def test_the_command_runs_as_people_run_it_and_needs_no_database(tmp_path):
    path = _file(tmp_path, f"{GOOD}\n{{}}\n")
    run = [sys.executable, "manage.py", "plan", str(path)]
    environment = {"DATABASE_URL": "postgres://nobody@127.0.0.1:1/none", "PATH": "", "REGRIND_SECRET": "x" * 50}
    done = subprocess.run(run, capture_output=True, text=True, cwd=ROOT, check=False, env=environment)
    assert done.returncode == 2, done.stderr
    assert len(done.stdout.splitlines()) == 1
    assert len(done.stderr.splitlines()) == 1


BROKEN = {
    "empty": (b"", "case"),
    "blank": (b" \n\n", "case"),
    "mark": (b"\xef\xbb\xbf" + GOOD.encode(), "case"),
    "latin": (GOOD.replace("chip", "ch\xefp").encode("latin-1"), "case"),
    "utf-16": (GOOD.encode("utf-16"), "case"),
    "list": (f"[{GOOD}]".encode(), "case"),
    "text": (b'"x"', "case"),
    "null": (b"null", "case"),
    "cut": (GOOD[:-5].encode(), "case"),
    "comma": (GOOD[:-1].encode() + b",}", "case"),
    "deep": (b"[" * 100_000, "case"),
    "deep key": (b'{"a":' * 100_000, "case"),
    "doubled": (GOOD.replace('"teeth": 3', '"teeth": 3, "teeth": 3').encode(), "teeth"),
    "digits": (GOOD.replace('"teeth": 3', f'"teeth": {"9" * 5000}').encode(), "case"),
    "NaN": (GOOD.replace('"teeth": 3', '"teeth": NaN').encode(), "tool.teeth"),
    "Infinity": (GOOD.replace('"helix_deg": 30', '"helix_deg": -Infinity').encode(), "tool.helix_deg"),
    "1e400": (GOOD.replace('"helix_deg": 30', '"helix_deg": 1e400').encode(), "tool.helix_deg"),
    "huge": (GOOD.replace('"helix_deg": 30', f'"helix_deg": {"9" * 4000}').encode(), "tool.helix_deg"),
    "pretty": (json.dumps(CASE, indent=2)[:-1].encode(), "case"),
}


@pytest.mark.parametrize("name", sorted(BROKEN))
def test_what_is_no_json_of_ours_is_one_refusal(name):
    raw, field = BROKEN[name]
    results = list(answer_cases(raw))
    assert [result.answer for result in results] == [None]
    assert (results[0].line, results[0].refused.field) == (1, field)
    assert str(results[0].refused).isprintable()


@pytest.mark.parametrize(
    ("path", "value", "field"),
    [
        ("tool.teeth", 1, "tool.teeth"),
        ("tool.teeth", 100, "tool.teeth"),
        ("tool.teeth", 3.5, "tool.teeth"),
        ("tool.teeth", True, "tool.teeth"),
        ("tool.teeth", "3", "tool.teeth"),
        ("tool.teeth", None, "tool.teeth"),
        ("tool.kind", "router", "tool.kind"),
        ("tool.kind", "spoon", "tool.kind"),
        ("tool.kind", [], "tool.kind"),
        ("tool.rake_deg", 41, "tool.rake_deg"),
        ("tool.rake_deg", -30.1, "tool.rake_deg"),
        ("tool.rake_deg", "8", "tool.rake_deg"),
        ("tool.rake_deg", False, "tool.rake_deg"),
        ("tool.rake_deg", None, "tool.rake_deg"),
        ("tool.helix_deg", 71, "tool.helix_deg"),
        ("tool.helix_deg", -1, "tool.helix_deg"),
        ("tool.primary_relief_deg", 46, "tool.primary_relief_deg"),
        ("tool.secondary_relief_deg", 12, "tool.secondary_relief_deg"),
        ("tool.secondary_relief_deg", 45.5, "tool.secondary_relief_deg"),
        ("tool.core_diameter", "0.2502 in", "tool.core_diameter"),
        ("tool.core_diameter", "0 in", "tool.core_diameter"),
        ("tool.core_diameter", 3.8, "tool.core_diameter"),
        ("tool.nominal_diameter", "0 mm", "tool.nominal_diameter"),
        ("tool.nominal_diameter", "1e1 mm", "tool.nominal_diameter"),
        ("tool.flute_length", "19", "tool.flute_length"),
        ("tool.flute_length", "10.1 mm.", "tool.flute_length"),
        ("tool.hand_of_cut", "both", "tool.hand_of_cut"),
        ("tool.primary_land", "-1 thou", "tool.primary_land"),
        ("tool.flutes", 3, "tool.flutes"),
        ("tool.material", 5, "tool.material"),
        ("tool.unequal_index", 1, "tool.unequal_index"),
        ("tool.unequal_index", True, "measured.method"),
        ("tool", [], "tool"),
        ("tool", None, "tool"),
        ("measured.method", "micrometer", "measured.method"),
        ("measured.method", "laser", "measured.method"),
        ("measured.tir", "2 tenths", "measured.tir"),
        ("measured.diameter", "-6 mm", "measured.diameter"),
        ("measured.tooth_readings", ["0 in", "0 in"], "measured.tooth_readings"),
        ("measured.tooth_readings", ["-1 thou", "-1 thou", "-1 thou"], "measured.tooth_readings"),
        ("measured.tooth_readings.1", "1 thou", "measured.tooth_readings[1]"),
        ("measured.tooth_readings.1", None, "measured.tooth_readings[1]"),
        ("measured.tooth_readings", "0 in", "measured.tooth_readings"),
        ("damage.0.tooth", 4, "damage[0].tooth"),
        ("damage.0.tooth", 0, "damage[0].tooth"),
        ("damage.0.to", "0.751 in", "damage[0].to"),
        ("damage.0.to", "-1 mm", "damage[0].to"),
        ("damage.1.from", "0.301 in", "damage[1].to"),
        ("damage.0.depth", "-1 thou", "damage[0].depth"),
        ("damage.0.depth", "1.28 mm", "damage[0].depth"),
        ("damage.1.wear_land", "10 mm", "damage[1].wear_land"),
        ("damage.1.depth", "1 thou", "damage[1].wear_land"),
        ("damage.2.end_depth", "1 in", "damage[2].end_depth"),
        ("damage.2.tooth", 4, "damage[2].tooth"),
        ("damage.0.what", 5, "damage[0].what"),
        ("damage.0", 5, "damage[0]"),
        ("damage", {}, "damage"),
        ("damage", None, "damage"),
        ("allow.finish_end", "-1 mm", "allow.finish_end"),
        ("allow", {}, "allow.finish_radial"),
        ("limits.rake_deg", 91, "limits.rake_deg"),
        ("limits.published_reduction", "yes", "limits.published_reduction"),
        ("limits.land", "1 mm", "limits.land"),
        ("uncertainty.rake_deg", -1, "uncertainty.rake_deg"),
        ("uncertainty.diameter", "-1 um", "uncertainty.diameter"),
        ("uncertainty.tir", "1 um", "uncertainty.tir"),
        ("typical.cut_back", None, "typical.cut_back"),
        ("typical.stock", "1 mm", "typical.stock"),
        ("extra", 1, "extra"),
    ],
)
def test_a_fault_is_refused_under_its_own_name(path, value, field):
    (result,) = answer_cases(json.dumps(change(CASE, path, value)).encode())
    assert result.answer is None
    assert result.refused.field == field
    assert str(result.refused).isprintable()


@pytest.mark.parametrize(
    "path",
    [
        "tool.kind",
        "tool.teeth",
        "tool.nominal_diameter",
        "tool.flute_length",
        "measured.diameter",
        "measured.method",
        "allow.stylus_distance",
        "allow",
    ],
)
def test_what_is_needed_and_missing_is_refused_by_name(path):
    *way, last = path.split(".")
    case = json.loads(GOOD)
    del (case[way[0]] if way else case)[last]
    (result,) = answer_cases(json.dumps(case).encode())
    assert (result.refused.field, result.refused.others) == (path, ())


def test_all_faults_are_named_at_once_the_first_first():
    case = change(change(CASE, "tool.teeth", 1), "typical.cut_back", "5")
    (result,) = answer_cases(json.dumps(case).encode())
    faults = [result.refused, *result.refused.others]
    assert {fault.field for fault in faults} >= {"tool.teeth", "typical.cut_back"}


@pytest.mark.parametrize(
    "change_to",
    [
        {"tool.secondary_relief_deg": None},
        {"tool.teeth": 3.0},
        {"damage": []},
        {"limits": {}},
        {"typical": {}},
        {"tool.sides_ground_before": True},
        {"tool.primary_relief_deg": 0},
        {"tool.helix_deg": 70},
        {"tool.rake_deg": 40, "tool.primary_relief_deg": 44, "tool.secondary_relief_deg": 45},
        {"tool.rake_deg": -30},
        {"damage.0.from": "0.060 in"},
        {"damage.0.to": "0.750 in"},
        {"allow.stylus_distance": "10 in"},
        {"damage.0.depth": "0 mm"},
        {"uncertainty.diameter": "10000 mm"},
        {"tool.face_arc_radius": "0.000001 mm"},
        {"tool.face_arc_radius": "10000 mm"},
        {"measured.diameter": "10000 mm"},
        {"tool.core_diameter": "0.000001 mm"},
    ],
)
def test_the_edges_of_what_is_allowed_are_answered_with_finite_numbers(change_to):
    case = CASE
    for path, value in change_to.items():
        case = change(case, path, value)
    (result,) = answer_cases(json.dumps(case).encode())
    assert result.refused is None, result.refused
    json.dumps(result.answer, allow_nan=False)


def test_damage_limits_uncertainty_and_typical_may_be_left_out():
    case = {key: CASE[key] for key in ("tool", "measured", "allow")}
    (result,) = answer_cases(json.dumps(case).encode())
    assert (result.answer["verdict"], result.answer["recommended"]) == ("sound", 0)


JUNK = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["0 in", "-1 mm", "1/4 in", "1e9 mm", "end mill", "v-anvil", "10000 mm"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)
PATHS = [
    f"{part}.{key}" for part in ("tool", "measured", "allow", "limits", "uncertainty", "typical") for key in CASE[part]
] + [f"damage.{i}.{key}" for i, mark in enumerate(CASE["damage"]) for key in mark]


@settings(max_examples=5_000 if FULL else 300, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(PATHS), JUNK), max_size=3))
def test_junk_in_any_field_is_answered_or_refused(changes):
    case = CASE
    for path, value in changes:
        case = change(case, path, value)
    (result,) = answer_cases(json.dumps(case).encode())
    assert (result.answer is None) is (result.refused is not None)
    if result.answer:
        json.dumps(result.answer, allow_nan=False)


@settings(max_examples=5_000 if FULL else 100, deadline=None)
@given(st.binary(max_size=60))
def test_bytes_of_any_kind_are_refused_or_answered(raw):
    assert all(result.answer is None and str(result.refused).isprintable() for result in answer_cases(raw))
