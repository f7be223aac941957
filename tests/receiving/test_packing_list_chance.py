"""Packing lists of chance: no text and no damaged file breaks the reader."""

from contextlib import suppress
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.receiving.packing_list import Refused, read_list

WHOLE = Path(__file__).with_name("lists").joinpath("openpyxl.xlsx").read_bytes()


cells = st.sampled_from(
    ["", "12", "1/2 end mill", "Qty", "Tool", "Dia mm", "6,5", "Total", "-1", "Pos", '"', "x" * 301, "½"]
)


grids = st.lists(st.lists(cells, max_size=5).map(";".join), max_size=8).map("\n".join)


@settings(max_examples=200, deadline=None)
@given(st.one_of(grids, st.text(max_size=200)), st.sampled_from(["in", "mm"]))
def test_no_text_breaks_it(text, unit):
    _read_or_refused(text, b"", unit)


@settings(max_examples=200, deadline=None)
@given(
    st.one_of(
        st.binary(min_size=1, max_size=400),
        st.tuples(st.integers(0, len(WHOLE) - 1), st.binary(min_size=1, max_size=4)).map(
            lambda part: WHOLE[: part[0]] + part[1] + WHOLE[part[0] + len(part[1]) :]
        ),
    )
)
def test_no_damaged_file_breaks_it(data):
    _read_or_refused("", data, "in")


def _read_or_refused(text: str, data: bytes, unit: str) -> None:
    with suppress(Refused):
        assert read_list(text, data, unit).words
