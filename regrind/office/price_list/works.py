"""What a row of the price list is for, in code and in words."""

from regrind.record.kinds import KINDS, name_part
from regrind.record.models import EXTRAS
from regrind.record.rates import operations_of

from ..rates.forms import OPERATION_WORDS

Work = tuple[str, str]  # a rate's what, and its operation
BOX = ("rush", "least")  # charged by the box: of the whole shop or of a customer
PLAIN = (*BOX, "discount")


def _operations() -> list[str]:
    """Every operation that some kind takes, each once, whatever is ground first."""
    return list(dict.fromkeys(operation for kind in KINDS for operation in operations_of(kind)))


WORKS: dict[Work, str] = {
    **{("price", operation): OPERATION_WORDS.get(operation, name_part(operation)) for operation in _operations()},
    **{(code, ""): "discount, per cent" if code == "discount" else words for code, words in EXTRAS},
}
BY_WORDS = {words: work for work, words in WORKS.items()}


def misfit(work: Work, kind: str) -> str:
    """Why this work is not ground on this kind, with what is; empty where it is."""
    what_for, operation = work
    if what_for != "price" or not kind or operation in operations_of(kind):
        return ""
    possible = ", ".join(WORKS["price", fitting] for fitting in operations_of(kind))
    return f"{WORKS[work]} is not ground on a {KINDS[kind].name}. Write one of: {possible}."
