"""Verdicts in words: the rule with its figures, what would change it, and what to tell a customer."""

import math
from collections.abc import Callable

from regrind.geometry.units import Unit, both

from .bias import ENOUGH, Bias
from .filters import WhatIf
from .intervals import Interval
from .plan_fact import Comparison
from .verdicts import FEW, LARGEST_LOT, LOTS, NOT, PRICE, WORDS, WORTH, Case, Change, Verdict
from .what_if import Tried

LOOKS = {WORTH: "inside", LOTS: "inside", PRICE: "close", NOT: "outside", FEW: "unsaid"}
NARROW = "\u202f"


def say_money(minor: float | None) -> str:
    """Minor units as an amount, rounded here, once."""
    if minor is None:
        return "–"
    whole = round(minor)
    return f"{'−' if whole < 0 else ''}{say_count(abs(whole) // 100)}.{abs(whole) % 100:02d}"


def say_count(count: int) -> str:
    """From five digits on in threes, a narrow no-break space between."""
    return f"{count:,}".replace(",", "\u202f") if count >= 10_000 else str(count)


def say_stock(diameter_nm: float, unit: Unit) -> tuple[str, ...]:
    """The stock off the radius in both units; in words where the end alone was ground, and nothing came off the sides.

    diameter_nm: what came off the diameter on average.
    """
    radius = round(diameter_nm / 2)
    return both(radius, unit) if radius else ("none", "the end alone")


def say_minutes(hundredths: float) -> str:
    return f"{hundredths / 100:.1f}{NARROW}min"


def say_share(share: float | None) -> str:
    """A share in whole percent; what is not quite nothing or all is not said to be."""
    if share is None:
        return "–"
    percent = round(100 * share)
    percent = min(percent, 99) if share < 1 else max(percent, 1) if share > 0 else percent
    return f"{max(percent, 1) if share > 0 else percent}{NARROW}%"


def say_tried(what_if: WhatIf, currency: str) -> str:
    """The what-if figures of all families: `prices 10 % up, 120.00 USD an hour, lots of 6`."""
    percent, changes = what_if.percent, []
    if percent:
        changes.append(f"prices {abs(percent)}{NARROW}% {'up' if percent > 0 else 'down'}")
    if what_if.rate_minor is not None:
        changes.append(f"{say_money(what_if.rate_minor)} {currency} an hour")
    if what_if.lot is not None:
        changes.append(f"lots of {what_if.lot}")
    return ", ".join(changes)


def say_what_if(verdict: Verdict | None, plain: Verdict | None, tried: Tried) -> str:
    """The what-if of one family: whether the verdict changes, and how many tools would be ground."""
    if verdict and plain and plain.code != verdict.code:
        parts = [f"What-if, not saved. Now: {plain.words}."]
    else:
        parts = ["What-if, not saved. The verdict is the same now."]
    if tried.cases and tried.ground != tried.ground_then:
        parts.append(
            f"Of {tried.cases} tools whose planned size is known, {tried.ground_then} would be ground instead of "
            f"{tried.ground}."
        )
    if tried.regrinds_then is not None:
        instead = "" if tried.regrinds is None else f" instead of {tried.regrinds:.1f}"
        parts.append(f"A tool has about {tried.regrinds_then:.1f} regrinds{instead}.")
    return " ".join(parts)


def say_change(change: Change, verdict: Verdict) -> str:
    """One change in words: `at 9.80 instead of 7.50`, `in lots of 6`."""
    price = say_money(verdict.case.price)
    value = change.value
    return {
        "price": lambda: f"at {say_money(value)} instead of {price}",
        "least_price": lambda: f"down to {say_money(value)} each",
        "lot": lambda: f"in lots of {value:.0f}",
        "least_lot": lambda: "one at a time" if value <= 1 else f"down to lots of {value:.0f}",
        "good_share": lambda: f"if {math.ceil(100 * value)}{NARROW}% were good",
        "new": lambda: f"if a new tool cost {say_money(value)} or more",
        "cases": lambda: f"clear after {_more_tools(value, known=not verdict.at_worst)}",
    }[change.kind]()


def _more_tools(value: float, *, known: bool) -> str:
    """How many tools more: a number that is known, or one that rests on the share staying as it is."""
    tools = "1 more tool" if round(value) == 1 else f"{value:.0f} more tools"
    return tools if known else f"about {tools}"


def say_changes(verdict: Verdict) -> str:
    """What would change the verdict, in one line; where it is worth it, how far it stays so."""
    changes = [say_change(change, verdict) for change in verdict.changes]
    if verdict.code == WORTH:
        return f"still worth it {' and '.join(changes)}" if changes else ""
    return ", or ".join(_worth_it_once(changes))


def _worth_it_once(changes: list[str]) -> list[str]:
    """What comes after the number of tools would make it worth it: that is said with the first of it."""
    others = [change for change in changes if not change.startswith("clear after")]
    return [f"worth it {change}" if change in others[:1] else change for change in changes]


def say_listed(listed_minor: float | None, charged: Verdict | None) -> tuple[str, ...]:
    """The list's price of today where it is not what was charged, and the verdict at what was charged where that is
    another."""
    if listed_minor is None:
        return ()
    other = (f"at what was charged: {charged.words}",) if charged else ()
    return (f"list price now {say_money(listed_minor)}", *other)


def say_few(verdict: Verdict) -> str:
    """Why there is no verdict yet, always with the number of cases."""
    if verdict.code != FEW:
        return ""
    if verdict.case.lacking:
        return f"{verdict.n} ground, not known: {' and '.join(verdict.case.lacking)}"
    if verdict.at_worst:
        return f"{verdict.n} ground, not clear yet: “{WORDS[verdict.at_worst]}” or “{WORDS[verdict.at_best]}”"
    return f"only {verdict.n} ground"


def say_rule(verdict: Verdict, currency: str) -> list[str]:
    """The rule with this family's figures, a sentence each."""
    case, minutes, sentences = verdict.case, verdict.case.minutes, []
    if case.ground:
        sentences += [_say_ground(case), _say_good(verdict)]
    elif case.decided:
        sentences.append(f"None of {case.decided} finished tools was ground.")
    if minutes:
        parted = (
            f": {minutes.setting_up:.1f} min to set up, {minutes.each:.1f} min for each piece"
            if minutes.told_apart
            else "; the time to set up is not known, because too few setups differ in size"
        )
        sentences.append(f"A piece takes {minutes.a_piece(case.in_lot):.1f} min in a lot of {case.in_lot:.1f}{parted}.")
    if verdict.earns is not None and minutes:
        between = _between(say_money, verdict.earns_within, ",")
        sentences.append(
            f"({say_money(case.price)} × {say_share(case.good_share)} − {say_money(case.wheel)} for the wheel) ÷ "
            f"{minutes.a_piece(case.in_lot):.1f} min is {say_money(verdict.earns)} {currency} per minute"
            f"{between}."
        )
    if case.rate:
        sentences.append(f"The hourly rate of {say_money(case.rate)} is {say_money(case.rate / 60)} per minute.")
    if case.new is not None:
        sentences.append(f"A new tool costs {say_money(case.new)}.")
    return sentences


def _say_ground(case: Case) -> str:
    tools = "tool was finished" if case.decided == 1 else "tools were finished"
    if case.ground == case.decided:
        return f"{say_count(case.decided)} {tools}, all ground."
    return f"{say_count(case.decided)} {tools}; {say_count(case.ground)} of them ground, the others not."


def _say_good(verdict: Verdict) -> str:
    """The verdict counts good tools among those ground, since what is not ground costs next to nothing."""
    case = verdict.case
    return (
        f"The verdict counts the ground ones: {say_count(case.good)} of {say_count(case.ground)} were good, "
        f"{say_share(case.good_share)}{_between(say_share, verdict.good_within, ',')}."
    )


def _between(say: Callable[[float], str], within: Interval | None, before: str) -> str:
    """Empty where both ends read the same."""
    if within is None or say(within.low) == say(within.high):
        return ""
    return f"{before} between {say(within.low)} and {say(within.high)} (95{NARROW}% interval)"


def say_rules() -> str:
    """The rule itself, for whoever asks."""
    return (
        "Worth it: a bench minute earns the hourly rate at both ends of the 95 % interval of good regrinds, and the "
        "price is not above that of a new tool. In lots: the same in a larger lot than usual, up to "
        f"{LARGEST_LOT}. Only with a higher price: the same at a price that is not above that of a new tool. Not worth "
        "it: at no such price, or none of five or more was good. Too few cases: fewer than five ground, a figure not "
        "known, or different verdicts at the two ends of the interval."
    )


def advise(verdict: Verdict) -> str:
    """The advice to the customer: it never names the price from which on the shop would grind."""
    value = {change.kind: change.value for change in verdict.changes}
    if verdict.code == WORTH:
        return "worth sending"
    if verdict.code == LOTS:
        return f"worth sending, in lots of {value['lot']:.0f}"
    if verdict.code == PRICE:
        return "not at the present price: ask us"
    return f"not clear yet: {verdict.n} ground" if verdict.code == FEW else "cheaper to buy new"


WHAT = {
    "removal": "removed from the diameter",
    "size": "diameter after grinding",
    "end": "cut off the end",
    "corner": "radius of the corner or ball",
    "minutes": "minutes per piece",
}
FINDINGS = {
    "bias": "more than chance",
    "chance": "no more than chance",
    "too few": f"too few cases: {ENOUGH} are needed",
    "small": "smaller than a gauge can read",
}


def say_bias(line: Comparison) -> str:
    """`18 cases: more than chance (t 0.001, signs 0.004)`."""
    bias: Bias = line.bias
    chances = (
        ""
        if bias.chance_of_t is None or bias.n < ENOUGH
        else (f" (chance {_chance(bias.chance_of_t)} by t, {_chance(bias.chance_of_signs or 0)} by signs)")
    )
    return f"{FINDINGS[bias.finding]}{chances}"


def _chance(p: float) -> str:
    return "below 0.001" if p < 0.001 else f"{p:.3f}"
