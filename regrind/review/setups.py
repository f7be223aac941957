"""A setup's minutes parted into what setting up takes once and what each piece takes, from setups of several sizes."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SetupSums:
    """Whole sums over setups: how many, their pieces m, m·m, their minutes T (hundredths), and m·T."""

    setups: int = 0
    pieces: int = 0
    pieces_squared: int = 0
    hundredths: int = 0
    cross: int = 0

    def __add__(self, other: "SetupSums") -> "SetupSums":
        return SetupSums(
            self.setups + other.setups,
            self.pieces + other.pieces,
            self.pieces_squared + other.pieces_squared,
            self.hundredths + other.hundredths,
            self.cross + other.cross,
        )


@dataclass(frozen=True, slots=True)
class Minutes:
    """Minutes of setting up and of each piece. told_apart: setups of several sizes let the two be parted; else the
    whole counts as the pieces'. lot: pieces of a usual setup."""

    setting_up: float
    each: float
    lot: float
    told_apart: bool

    def a_piece(self, lot: float | None = None) -> float:
        """Minutes of one piece in a lot of `lot`, the setting up shared out evenly."""
        return self.setting_up / (lot or self.lot) + self.each


FEWEST_SETUPS = 3


def part_minutes(sums: SetupSums) -> Minutes | None:
    """The least-squares line T = setting up + each · m, neither below nothing; None where no minutes are recorded.

    Whatever the parting, a piece in the usual lot takes exactly the recorded minutes over the recorded pieces.
    Source: NIST/SEMATECH e-Handbook 4.1.4.1, linear least squares.

    >>> part_minutes(SetupSums(3, 12, 56, 16_200, 69_600))
    Minutes(setting_up=30.0, each=6.0, lot=4.0, told_apart=True)
    """
    if not sums.setups or not sums.pieces or not sums.hundredths:
        return None
    lot, mean = sums.pieces / sums.setups, sums.hundredths / 100 / sums.pieces
    spread = sums.setups * sums.pieces_squared - sums.pieces**2
    if sums.setups < FEWEST_SETUPS or spread <= 0:
        return Minutes(0.0, mean, lot, False)
    slope = (sums.setups * sums.cross - sums.pieces * sums.hundredths) / spread / 100
    each = min(max(slope, 0.0), mean)
    return Minutes((mean - each) * lot, each, lot, True)
