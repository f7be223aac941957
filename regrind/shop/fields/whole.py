"""Short whole numbers out of what was typed or sent."""


def read_whole(text: str | None, digits: int = 17) -> int | None:
    """The number that plain digits 0 to 9 say, at most so many; None for anything else, a sign or a space too.

    17 digits fit every key of a row.
    """
    return int(text) if text and text.isascii() and text.isdigit() and len(text) <= digits else None
