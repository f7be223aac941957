"""Checked pieces as the page shows them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from regrind.record.models import Piece

from ..models import FinalCheck


@dataclass(frozen=True)
class Shown:
    """A piece with its newest check and what that found."""

    piece: Piece
    row: FinalCheck
    findings: list[dict[str, Any]]

    @property
    def alike(self) -> tuple[int | None, bool, str, str] | None:
        """What pieces share that were not read themselves and went the same way; None for one that was read."""
        if self.compared or self.row.diameter_nm is not None or self.row.in_full:
            return None
        return self.row.copied_from_id, self.row.passed, self.row.sent_back, self.piece.status

    @property
    def relief(self) -> dict[str, Any] | None:
        return next((item for item in self.findings if "cdeg" in item), None)

    @property
    def compared(self) -> list[dict[str, Any]]:
        return [item for item in self.findings if item["state"]]


def in_runs(shown: Sequence[Shown]) -> list[tuple[Shown, list[Piece]]]:
    """Pieces that follow each other and have nothing of their own to tell share a row."""
    runs: list[tuple[Shown, list[Piece]]] = []
    for item in shown:
        if runs and item.alike is not None and item.alike == runs[-1][0].alike:
            runs[-1][1].append(item.piece)
        else:
            runs.append((item, [item.piece]))
    return runs
