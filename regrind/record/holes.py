"""A hole to be reamed as one writes it: `H7`, `10 H7`, `10 mm +0.040 +0.062`; read into the parts of a plan's case."""

import re

from regrind.geometry.errors import Refused
from regrind.geometry.fields import Fields, Problems
from regrind.geometry.kinds.hole import read_hole
from regrind.geometry.units import NotALength, Unit, parse, write_mm

MOST_HOLES = 5
LONGEST = 40
FORMS = "Write a class, H6 to H10, or both deviations with their signs: 10 H7, or 10 +0.040 +0.062."
_LETTERS = re.compile(r"^(?P<size>.*?)\s*(?P<letter>[A-Za-z]{1,2})\s?(?P<grade>\d{1,2})$")
_DEVIATIONS = re.compile(
    r"^(?P<size>.*?)\s*(?P<first>[+-]\s?[\d.,]+|0)\s*/?\s*(?P<second>[+-]\s?[\d.,]+|0)\s*(?:mm|in)?$"
)


def read_hole_text(text: str, nominal_nm: int | None, unit: Unit) -> dict[str, str]:
    """The hole as the plan's case has it. nominal_nm: of the tool, taken where the text names no size.

    unit: of bare figures. Raises Refused naming `hole`, with what may be written.
    """
    plain = " ".join(text.replace("±", "+-").replace("−", "-").replace("⌀", "").split())
    unit = "mm" if plain.endswith("mm") or " mm" in plain else "in" if plain.endswith(" in") else unit
    if match := _DEVIATIONS.match(plain):
        deviations = sorted(_read(match[name], unit) for name in ("first", "second"))
        hole = {"lower_deviation": write_mm(deviations[0]), "upper_deviation": write_mm(deviations[1])}
    elif match := _LETTERS.match(plain):
        hole = {"class": f"{match['letter'].upper()}{match['grade']}"}
        if match["size"][:1].isdigit():  # such a class stands behind millimetres (ISO 286), as the counter reads it
            unit = "mm"
    else:
        raise Refused("hole", f"“{text}” is no hole. {FORMS}")
    size_nm = _read(match["size"], unit) if match["size"] else nominal_nm
    if not size_nm:
        raise Refused("hole", f"“{text}” names no size, and the tool's is not known. {FORMS}")
    hole = {"nominal": write_mm(size_nm)} | hole
    problems: Problems = []
    read_hole(Fields(hole, "hole", problems))
    if problems:
        raise Refused("hole", f"“{text}”: {problems[0][0].split('.')[-1].replace('_', ' ')} {problems[0][1]}. {FORMS}")
    return hole


def read_hole_texts(text: str, nominal_nm: int | None, unit: Unit) -> list[dict[str, str]]:
    """Several holes with a semicolon between them, at most five. Raises Refused naming `hole`."""
    texts = [part.strip() for part in text.split(";") if part.strip()]
    if len(texts) > MOST_HOLES:
        raise Refused("hole", f"{len(texts)} holes are too many: write 1 to {MOST_HOLES}, a semicolon between them.")
    return [read_hole_text(part, nominal_nm, unit) for part in texts]


def _read(text: str, unit: Unit) -> int:
    """A length with its sign, nm."""
    sign, bare = (-1 if text.startswith("-") else 1), text.lstrip("+- ")
    try:
        return sign * parse(f"{bare} {unit}" if bare.isdigit() else bare, unit=unit).nm
    except NotALength as fault:
        raise Refused("hole", f"“{text}” is no length. {FORMS}") from fault
