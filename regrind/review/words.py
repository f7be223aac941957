"""Verdicts in words: the rule with its figures, what would change it, and what to tell a customer."""

import math
from collections.abc import Callable

from .bias import Bias
from .filters import WhatIf
from .intervals import Interval
from .plan_fact import Line
from .verdicts import FEW, LARGEST_LOT, LOTS, NOT, PRICE, WORDS, WORTH, Change, Verdict

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
    """What is tried on all families in place of the record: `prices 10 % up, 120.00 USD an hour, lots of 6`."""
    percent, told = what_if.percent, []
    if percent:
        told.append(f"prices {abs(percent)}{NARROW}% {'up' if percent > 0 else 'down'}")
    if what_if.rate_minor is not None:
        told.append(f"{say_money(what_if.rate_minor)} {currency} an hour")
    if what_if.lot is not None:
        told.append(f"lots of {what_if.lot}")
    return ", ".join(told)


def say_change(change: Change, verdict: Verdict) -> str:
    """One change as the owner would say it: `at 9.80 instead of 7.50`, `in lots of 6`."""
    price = say_money(verdict.case.price)
    value = change.value
    return {
        "price": lambda: f"at {say_money(value)} instead of {price}",
        "least_price": lambda: f"down to {say_money(value)} each",
        "lot": lambda: f"in lots of {value:.0f}",
        "least_lot": lambda: "even one at a time" if value <= 1 else f"down to lots of {value:.0f}",
        "kept": lambda: f"if {math.ceil(100 * value)}{NARROW}% stayed good",
        "new": lambda: f"if a new one cost {say_money(value)} or more",
        "cases": lambda: f"after about {value:.0f} more like them",
    }[change.what]()


def say_changes(verdict: Verdict) -> str:
    """What would change it, in one line; where it is worth it, how far that holds."""
    told = [say_change(change, verdict) for change in verdict.changes]
    if verdict.code == WORTH:
        return f"holds {' and '.join(told)}" if told else ""
    return ", or ".join(told)


def say_few(verdict: Verdict) -> str:
    """Why there is nothing to say yet, always with the number of cases."""
    if verdict.code != FEW:
        return ""
    if verdict.case.lacking:
        return f"{' and '.join(verdict.case.lacking)} not known, {verdict.n} ground"
    if verdict.at_worst:
        return f"{verdict.n} ground: “{WORDS[verdict.at_worst]}” or “{WORDS[verdict.at_best]}”"
    return f"{verdict.n} ground"


def say_rule(verdict: Verdict, currency: str) -> list[str]:
    """The rule with this family's figures, a sentence each."""
    case, minutes, told = verdict.case, verdict.case.minutes, []
    if case.ground:
        told.append(
            f"{say_count(case.good)} of {say_count(case.ground)} ground came good and stayed good: "
            f"{say_share(case.kept)}{_between(say_share, verdict.kept, ',')}."
        )
    elif case.decided:
        told.append(f"None of {case.decided} was ground.")
    if minutes:
        parted = (
            f": {minutes.setting_up:.1f} min to set up, {minutes.each:.1f} for each"
            if minutes.told_apart
            else "; setting up could not be told from grinding, since too few setups differ in size"
        )
        told.append(f"A piece takes {minutes.a_piece(case.in_lot):.1f} min in a lot of {case.in_lot:.1f}{parted}.")
    if verdict.earns is not None and minutes:
        between = _between(say_money, verdict.earns_within, ",")
        told.append(
            f"({say_money(case.price)} × {say_share(case.kept)} − {say_money(case.wheel)} for the wheel) ÷ "
            f"{minutes.a_piece(case.in_lot):.1f} min is {say_money(verdict.earns)} {currency} a minute"
            f"{between}."
        )
    if case.rate:
        told.append(f"The shop needs {say_money(case.rate / 60)} a minute ({say_money(case.rate)} an hour).")
    if case.new is not None:
        told.append(f"A new one costs {say_money(case.new)}.")
    return told


def _between(say: Callable[[float], str], within: Interval | None, before: str) -> str:
    """Nothing where both ends read the same: then the figure says it all."""
    if within is None or say(within.low) == say(within.high):
        return ""
    return f"{before} between {say(within.low)} and {say(within.high)} (95{NARROW}% interval)"


def say_rules() -> str:
    """The rule itself, for whoever asks."""
    return (
        "Worth it: a bench minute earns the hourly rate at both ends of the 95 % interval of what stays good, and "
        "one costs no more than a new one. In lots: so in a larger lot than usual, up to "
        f"{LARGEST_LOT}. Only with a higher price: so at a price that is still no more than a new one's. Not worth "
        "it: at no such price, or nothing of five or more came good. Too few to say: fewer than "
        "five ground, something not known, or the two ends of the interval disagree."
    )


def advise(verdict: Verdict) -> str:
    """What to tell the customer."""
    value = {change.what: change.value for change in verdict.changes}
    if verdict.code == WORTH:
        return "worth sending"
    if verdict.code == LOTS:
        return f"worth sending, in lots of {value['lot']:.0f}"
    if verdict.code == PRICE and "price" in value:
        return f"worth grinding at {say_money(value['price'])} each"
    return f"few so far: {verdict.n} ground" if verdict.code == FEW else "better bought new"


WHAT = {
    "removal": "taken off the diameter",
    "size": "diameter after",
    "end": "taken off the end",
    "minutes": "minutes a piece",
}
SAID = {
    "bias": "more than chance",
    "chance": "no more than chance",
    "few": "too few to say",
    "too few": "too few to say",
    "small": "there, but smaller than it can be read",
}


def say_bias(line: Line) -> str:
    """`18 cases: more than chance (t 0.001, signs 0.004)`."""
    bias: Bias = line.bias
    chances = (
        ""
        if bias.chance_of_t is None
        else (f" (chance {_chance(bias.chance_of_t)} by t, {_chance(bias.chance_of_signs or 0)} by signs)")
    )
    return f"{SAID[bias.said]}{chances}"


def _chance(p: float) -> str:
    return "below 0.001" if p < 0.001 else f"{p:.3f}"
