"""The buttons below a plan: what can be decided, and which of them comes next."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from .groups import Group

ASK = "Ask the customer"
RETURN, SCRAP = "Return unground", "Return as scrap"
EXCEPTIONS = {"returned_unground": RETURN, "scrap": SCRAP, "ask": ASK}  # each needs a reason
GRIND = "Plan this option"
GRIND_BY_HAND = "Grind by hand"


@dataclass(frozen=True)
class Button:
    """What it decides, its words, whether it is the one thing to do next, and the form it sends where not its own.

    href: where it leads, of one that decides nothing. counts: its words before the number of ticked pieces, of one
    that says how many it plans.
    """

    value: str
    words: str
    is_next: bool = False
    form: str = ""
    href: str = ""
    counts: str = ""


@dataclass(frozen=True)
class Page:
    """What the choice of buttons rests on.

    apart: the line's pieces were read in several groups; has_sizes: they may share a size; ticked: one is ticked;
    answered: the customer gave an answer; computed: the plan works this kind out; asks_before_scrap: the customer wants
    to be asked; plan_sizes: what planning the ticked sizes does; inspect: the address of the inspection; count: of
    the ticked pieces.
    """

    group: Group
    option: Mapping[str, Any] | None
    apart: bool
    has_sizes: bool
    ticked: bool
    matched: bool
    answered: bool
    computed: bool = True
    asks_before_scrap: bool = False
    plan_sizes: str = "Plan the ticked sizes"
    inspect: str = ""
    count: int = 1


def list_buttons(page: Page) -> list[Button]:
    """The buttons in their order; the last one is next, where any is."""
    if page.option is None:
        return _without_option(page)
    size = [Button("size", page.plan_sizes, form="taking")] if page.apart and page.has_sizes else []
    ask, keep = Button("ask", ASK), Button("keep", GRIND)
    if size:
        count = "1 piece" if page.count == 1 else f"{page.count} pieces"
        keep = replace(keep, words=f"{GRIND} for {count}", counts=f"{GRIND} for")
    if page.apart and page.matched:
        return [ask, *(replace(button, is_next=True) for button in size)]
    if size and page.ticked:
        return [ask, keep, replace(size[0], is_next=True)]
    if page.option["verdict"] == "ask" and not page.answered:
        return [*size, keep, replace(ask, is_next=True)]
    return [*size, ask, replace(keep, is_next=True)]


def _without_option(page: Page) -> list[Button]:
    """Never ground: return it. Nothing left to grind: scrap first. By hand where the plan does not know it."""
    ask = Button("ask", ASK)
    if page.group.never:
        return [ask, Button("returned_unground", RETURN, is_next=True)]
    if page.group.answer or page.group.wreck:
        scrap = Button("scrap", SCRAP)
        first, last = (scrap, ask) if page.asks_before_scrap and not page.answered else (ask, scrap)
        return [first, replace(last, is_next=True)]
    if page.group.by_hand:
        return [Button("plain", GRIND_BY_HAND), replace(ask, is_next=True)]
    if page.computed:
        again = Button("", "Inspect again", is_next=True, href=page.inspect)
        return [ask, Button("plain", GRIND_BY_HAND), again]
    return [ask, Button("plain", "Send to grinding", is_next=True)]
