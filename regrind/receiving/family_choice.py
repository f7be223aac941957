"""The family that was chosen on the page, or a new one where none was."""

from typing import Any

from regrind.record.actions import adds, fill_in, fitting_families, make_family, news
from regrind.record.line_dimensions import PROPERTIES, known
from regrind.record.models import Family
from regrind.shop.events import Refusal
from regrind.shop.models import Person

from .line_form import OfferedForm


def choose_family(*, by: Person, form: OfferedForm, made: list[Family]) -> Family:
    """The family a form's choice stands for; a new one goes into `made`, so that like lines of one box share it.

    Writes into a known family only where that was chosen. Refusal where the chosen one was merged meanwhile.
    """
    properties = form.family()
    if form.chosen == "new":
        return _new_family(by, properties, made)
    if not form.chosen:
        raise Refusal("Choose a family: the known ones add values that this line does not state.")
    family = Family.objects.filter(pk=int(form.chosen.rstrip("+")), merged_into=None).first()
    if family is None:
        raise Refusal("A family chosen here was merged meanwhile: choose again.")
    if form.chosen.endswith("+"):
        fill_in(by=by, family=family, properties=properties)
    return family


def _new_family(by: Person, properties: dict[str, Any], made: list[Family]) -> Family:
    [fits] = fitting_families([properties])
    made_already = [family for family in fits if family in made and not adds(family, properties)]
    same = [
        family for family in made_already if not news(family, properties) and known(properties) == _known_of(family)
    ]
    if len(made_already) > 1 and not same:
        raise Refusal(
            "Two new families of this box fit one of its lines. Save the other lines first: then the page "
            "offers the choice."
        )
    if not made_already:
        made.append(make_family(by=by, **properties))
        return made[-1]
    return (same or made_already)[0]


def _known_of(family: Family) -> dict[str, Any]:
    return known({name: getattr(family, name) for name in (*PROPERTIES, "unequal_index")})
