"""The page of the final check, and what it stored, for its tests."""

import json

from regrind.bench.models import FinalCheck

from .tray import pieces_of

WHERE = "/bench/417-1/check"


READ = {
    "diameter": ".2408",
    "runout_sides": ".0002",
    "drop": ".0018",
    "drop_over": ".010",
    "drop_way": "tangent",
    "passed": "yes",
}


def nth(line, *, diameter=".2408", **own) -> dict:
    """The diameters of every 5th piece: the 6th and the 11th."""
    pieces = {p.number: p.pk for p in pieces_of(line)}
    return {f"diameter_{pieces[n]}": own.get(f"p{n}", diameter) for n in (6, 11)}


def found(piece_number: int) -> dict[str, dict]:
    row = FinalCheck.objects.filter(piece__number=piece_number).order_by("revision").last()
    return {item["what"]: item for item in json.loads(row.findings)}
