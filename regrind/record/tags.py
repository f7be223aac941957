"""Life tags: five characters and a check character, none of which looks like a digit or another letter."""

import secrets

# No B I O Q S Z (they look like 8 1 0 0 5 2) and no V (beside U). 29 is prime, so that one check character finds
# every single wrong sign and every swap of neighbours.
SIGNS = "0123456789ACDEFGHJKLMNPRTUWXY"
LENGTH = 6


def check_sign(body: str) -> str:
    """The check character of a tag's first five: the weighted sum over 29 signs.

    Weights 2..6 differ and 29 is prime, so one wrong sign or two swapped neighbours always change it.
    """
    total = sum((place + 2) * SIGNS.index(sign) for place, sign in enumerate(body))
    return SIGNS[-total % len(SIGNS)]


def new_tag() -> str:
    """A fresh life tag; the caller keeps it unique."""
    body = "".join(secrets.choice(SIGNS) for _ in range(LENGTH - 1))
    return body + check_sign(body)


def read_tag(text: str) -> str | None:
    """The tag as it is stored, or None where the text is no tag or its check character is wrong."""
    tag = text.strip().upper().replace(" ", "").replace("-", "")
    if len(tag) != LENGTH or any(sign not in SIGNS for sign in tag):
        return None
    return tag if check_sign(tag[:-1]) == tag[-1] else None
