"""The buttons below a plan: what can be decided, and which of them comes next."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .groups import Group

ASK = "Ask the customer"
GRIND = "Grind by this option"


@dataclass(frozen=True)
class Button:
    """What it decides, its words, whether it is the one thing to do next, and the form it sends where not its own."""

    value: str
    words: str
    is_next: bool = False
    form: str = ""


@dataclass(frozen=True)
class Page:
    """What the choice of buttons rests on. apart: the line's pieces were read in several groups; has_sizes: they may
    share a size; answered: the customer gave an answer."""

    group: Group
    option: Mapping[str, Any] | None
    apart: bool
    has_sizes: bool
    matched: bool
    answered: bool


def list_buttons(page: Page) -> list[Button]:
    """The buttons in their order; the last one is next, where any is."""
    if page.option is None:
        if page.group.answer:
            return [Button("ask", ASK, is_next=True)]
        return [Button("ask", ASK), Button("plain", "Send to grinding", is_next=True)]
    if page.apart and page.has_sizes:
        keep = [] if page.matched else [Button("keep", f"{GRIND}: {len(page.group.pieces)}")]
        return [Button("ask", ASK), *keep, Button("size", "Grind to the ticked sizes", is_next=True, form="taking")]
    if page.apart and page.matched:
        return [Button("ask", ASK)]
    if page.option["verdict"] == "ask" and not page.answered:
        return [Button("keep", GRIND), Button("ask", ASK, is_next=True)]
    return [Button("ask", ASK), Button("keep", GRIND, is_next=True)]
