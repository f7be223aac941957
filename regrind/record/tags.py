"""Life tags: five characters and a check character, none of which looks like a digit or another letter."""

import secrets

# No B I O Q S Z (they look like 8 1 0 0 5 2) and no V (beside U). 29 is prime, so that one check character finds
# every single wrong sign and every swap of neighbours.
SIGNS = "0123456789ACDEFGHJKLMNPRTUWXY"
LENGTH = 6
DOUBTFUL = frozenset("01")
LOOKALIKES = str.maketrans("BIOQSZ", "810052")


def check_sign(body: str) -> str:
    """The check character of a tag's first five: the weighted sum over 29 signs.

    Weights 2..6 differ and 29 is prime, so one wrong sign or two swapped neighbours always change it.
    """
    total = sum((place + 2) * SIGNS.index(sign) for place, sign in enumerate(body))
    return SIGNS[-total % len(SIGNS)]


def new_tag() -> str:
    """A fresh life tag, without 0 and 1: who reads it cannot know that it holds no O and no I. The caller keeps it
    unique.
    """
    while True:
        body = "".join(secrets.choice(SIGNS) for _ in range(LENGTH - 1))
        if not DOUBTFUL & set(tag := body + check_sign(body)):
            return tag


def read_tag(text: str) -> str | None:
    """The tag as it is stored, or None where the text is no tag or its check character is wrong.

    No tag holds a letter that looks like a digit: such a letter is read as that digit, as it was misread on the label.
    """
    tag = text.strip().upper().replace(" ", "").replace("-", "").translate(LOOKALIKES)
    if len(tag) != LENGTH or any(sign not in SIGNS for sign in tag):
        return None
    return tag if check_sign(tag[:-1]) == tag[-1] else None
