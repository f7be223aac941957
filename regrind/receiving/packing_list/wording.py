"""One row of a list as the words of a line, so that it is read, shown and asked about like any other."""

import re
from collections.abc import Mapping

from regrind.geometry.units import Unit

from ..line_parser import ParsedLine, parse_line
from ..line_parser.sizes import size_or_text

NUMBER = re.compile(r"\d+|\d*[.,]\d+|\d+[ -]\d+/\d+|\d+/\d+")
# The words around a value of its own column, and the field that they tell.
WORDS = (
    ("diameter", "dia {}", "nominal_nm"),
    ("teeth", "{} flute", "teeth"),
    ("corner_radius", "CR {}", "corner_radius_nm"),
    ("shank", "shank {}", "shank_nm"),
    ("flute_length", "LOC {}", "flute_length_nm"),
    ("overall", "OAL {}", "overall_nm"),
    ("material", "{}", "material"),
    ("coating", "{}", "coating"),
)
SIZES = ("diameter", "corner_radius", "shank", "flute_length", "overall")
NOTHING = ("", "-", "–", "n/a", "none", "0")


def word_row(cells: Mapping[str, str], units: Mapping[str, Unit], unit: Unit) -> str:
    """`12 pcs 1/4 4FL carbide P/N "A 12" note: worn`: what a description says already is not parsed twice.

    cells: by what the columns hold. units: of the columns whose head names one. unit: the customer's.
    """
    description = cells.get("description", "")
    parsed = parse_line(description, unit)
    count = f"{cells['quantity']} pcs" if cells["quantity"] else "? pcs"
    words = [count, description]
    for name, pattern, field in WORDS:
        value = cells.get(name, "")
        if value.casefold() not in NOTHING and not _says(parsed, name, field, value, units.get(name), unit):
            words.append(pattern.format(_with_unit(name, value, units.get(name))))
    if article := cells.get("article", "").replace('"', ""):
        words.append(f'P/N "{article[:60]}"')
    notes = [f"position {cells['position']}"] if cells.get("position") else []
    notes += [cells["remark"]] if cells.get("remark") else []
    return " ".join(filter(None, [*words, f"note: {', '.join(notes)}" if notes else ""]))


def _with_unit(name: str, value: str, unit: Unit | None) -> str:
    """A bare figure with the unit that its column's head names."""
    value = value.lstrip("øØ⌀ ")
    return f"{value} {unit}" if name in SIZES and unit and NUMBER.fullmatch(value) else value


def _says(parsed: ParsedLine, name: str, field: str, value: str, named: Unit | None, unit: Unit) -> bool:
    """Whether the description tells the very same."""
    there = getattr(parsed, field)
    if name in SIZES:
        return there is not None and size_or_text(_with_unit(name, value, named), unit)[0] == there
    if name == "teeth":
        return value.isdecimal() and there == int(value)
    return bool(there) and str(there).casefold() == value.casefold()
