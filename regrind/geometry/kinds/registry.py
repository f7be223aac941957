"""The kinds that are computed beside the end mill: one line for each, and the only place that lists them."""

from collections.abc import Mapping
from typing import Any

from regrind.geometry.kinds import countersink, cutter, drill, reamer, tap
from regrind.geometry.kinds.kind import Kind

_KINDS: tuple[Kind[Any], ...] = (drill.KIND, reamer.KIND, cutter.KIND, cutter.SAW, countersink.KIND, tap.KIND)
BY_NAME: Mapping[str, Kind[Any]] = {name: kind for kind in _KINDS for name in kind.names}


def find_kind(data: Any) -> Kind[Any] | None:
    """The kind that a case as JSON gives it names under `tool.kind`; None for any other, and for what is no case.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> find_kind({"tool": {"kind": "drill"}}).names, find_kind({"tool": {"kind": "end mill"}})
    (('drill',), None)
    """
    tool = data.get("tool") if isinstance(data, Mapping) else None
    name = tool.get("kind") if isinstance(tool, Mapping) else None
    return BY_NAME.get(name) if isinstance(name, str) else None
