"""How pieces are called on screens and papers."""

from collections.abc import Iterable

from .models import Piece


def spans(pieces: Iterable[Piece]) -> str:
    """Which pieces, in few words: `3-1 to 3-6, 3-9`."""
    runs: list[list[Piece]] = []
    for piece in sorted(pieces, key=lambda p: (p.original_line, p.number)):
        last = runs[-1][-1] if runs else None
        if last and (last.original_line, last.number + 1) == (piece.original_line, piece.number):
            runs[-1].append(piece)
        else:
            runs.append([piece])
    return ", ".join(
        f"{run[0].short} to {run[-1].short}" if len(run) > 2 else ", ".join(p.short for p in run) for run in runs
    )
