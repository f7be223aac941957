"""What comes to the shop, by chance under a seed: few customers and families bring most, as in any shop.

The shares follow Zipf's law (the k-th most frequent comes 1/k as often, here 1/k**0.9), a common shape of such
counts; the figures are invented.
"""

import random
from dataclasses import dataclass, field
from itertools import accumulate

ZIPF = 0.9
INCH = 25_400_000
INCH_SIZES = [INCH * k // 64 for k in (4, 6, 8, 12, 16, 20, 24, 32, 40, 48, 64)]
MM_SIZES = [k * 1_000_000 for k in (2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 20, 25)]
KINDS = ("square",) * 9 + ("radius",) * 4 + ("ball",) * 3 + ("rougher", "chamfer", "drill", "drill", "reamer")
COATINGS = ("", "TiN", "AlTiN", "AlCrN", "TiSiN")


@dataclass
class Cutter:
    """One cutter somewhere at a customer's: what is left of it, and where it was seen last."""

    diameter: int
    here: int = 0
    tool: int | None = None
    last_piece: int | None = None


@dataclass
class Kind:
    """A family with what its cutters tend to lose."""

    pk: int
    nominal: int
    grinds: str
    stock: int  # nm of diameter that a regrind usually takes
    bias: int  # nm that it really takes more than the plan foretells
    minutes: int  # hundredths a piece
    set_up: int  # hundredths a setup
    price: int
    most: int  # regrinds after which it is given up


@dataclass
class Buyer:
    """A customer with the families they own, and their cutters of each."""

    pk: int
    kinds: list[Kind]
    weights: list[float]
    cutters: dict[int, list[Cutter]] = field(default_factory=dict)


def shares(count: int) -> list[float]:
    """Cumulative weights 1/k**0.9 of k = 1 to count."""
    return list(accumulate(1 / (k + 1) ** ZIPF for k in range(count)))


def family_values(chance: random.Random, n: int) -> dict[str, object]:
    """Properties of the n-th invented family; the catalogue number keeps it apart from all others."""
    kind = chance.choice(KINDS)
    nominal = chance.choice(INCH_SIZES if chance.random() < 0.6 else MM_SIZES)
    return {
        "kind": kind,
        "nominal_nm": nominal,
        "teeth": chance.choice((2, 3, 4, 4, 5, 6)),
        "material": "carbide",
        "coating": chance.choice(COATINGS),
        "catalogue": f"Y-{n + 1:03d}",
        "flute_length_nm": nominal * 3,
        "corner_radius_nm": nominal // 16 if kind == "radius" else None,
    }


def make_kind(chance: random.Random, pk: int, nominal: int, grinds: str) -> Kind:
    stock = max(60_000, int(nominal * chance.uniform(0.008, 0.03)))
    return Kind(
        pk,
        nominal,
        grinds,
        stock,
        chance.choice((0, 0, 0, stock // 10, -stock // 12)),
        chance.randint(250, 900),
        chance.randint(500, 2_500),
        450 + nominal // 20_000 + chance.randint(0, 400),
        chance.randint(3, 7),
    )


def make_buyer(chance: random.Random, pk: int, kinds: list[Kind]) -> Buyer:
    """Their families: some of all, the frequent ones likelier, and one of their own most frequent."""
    numbers = dict.fromkeys(chance.choices(range(len(kinds)), cum_weights=shares(len(kinds)), k=chance.randint(12, 90)))
    kinds_bought = [kinds[k] for k in numbers]
    chance.shuffle(kinds_bought)
    return Buyer(pk, kinds_bought, shares(len(kinds_bought)))


def line_size(chance: random.Random) -> int:
    """Pieces of a line: mostly a few, now and then a tray of forty."""
    return min(40, 1 + int(chance.expovariate(1 / 6)))
