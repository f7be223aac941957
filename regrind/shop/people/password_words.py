"""Words that no password of this shop may consist of: its name, the person's, the program's, and those of the trade."""

import re
from typing import Any

from django.core.exceptions import ValidationError

from ..owner.settings import shop_settings
from .person import Person

WORDS = {"regrind", "regrinding", "grinding", "cutter", "owner", "bench", "front", "desk", "office", "shop", "tool"}
LEAST_REST = 6  # signs that must be there besides such words


class NoWordOfThisShop:
    """Refuse a password that is little more than words which anybody who knows the shop would try."""

    def validate(self, password: str, user: Any = None) -> None:
        rest = password.casefold()
        for word in sorted(self._words(user), key=len, reverse=True):
            rest = rest.replace(word, "")
        if len(rest) < min(LEAST_REST, len(password)):
            raise ValidationError(
                "That password is made of words that anybody who knows the shop would try. Choose other words.",
                code="word_of_this_shop",
            )

    def _words(self, user: Any) -> set[str]:
        names = f"{shop_settings().name} {user.name if isinstance(user, Person) else ''}".casefold()
        return WORDS | {word for word in re.split(r"\W+", names) if len(word) > 2}

    def get_help_text(self) -> str:
        return "Not made of the names of the shop, the person or the program."
