"""Countries by their two letters, and how a town is written there."""

from functools import cache

from regrind.geometry.tables import rows

# The postcode stands behind the town, not before it; from memory of the postal operators' own pages.
POSTCODE_LAST = ("AU", "CA", "GB", "IE", "IN", "NZ", "US", "ZA")


@cache
def country_names() -> dict[str, str]:
    """The English name of each country by its code of ISO 3166-1. Source: shared/32_country_codes.csv."""
    return {row["code"]: row["name"] for row in rows("32_country_codes")}


def read_country(text: str) -> str:
    """The code of a country written as code or English name; "" for nothing. Raises ValueError where it is neither."""
    plain = text.strip()
    if not plain or plain.upper() in country_names():
        return plain.upper()
    for code, name in country_names().items():
        if name.casefold() == plain.casefold():
            return code
    raise ValueError(
        f"“{plain[:40]}” is no country. Write the two letters of ISO 3166-1, such as US or DE, or its English name."
    )


def town_line(postcode: str, town: str, country: str) -> str:
    """`10115 Berlin`, `Albany NY 12207`: in the order of that country, postcode first where none is known."""
    parts = (town, postcode) if country in POSTCODE_LAST else (postcode, town)
    return " ".join(filter(None, parts))
