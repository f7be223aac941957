"""One family: its verdict, pictures, plan against fact, and the pieces behind every figure."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from regrind.geometry.units import Unit, show_with_unit
from regrind.record.defaults import accept_default, accepted, newest_pk
from regrind.record.figures import TallyName
from regrind.record.models import Customer, Family, FamilyDefault, FamilyMonth
from regrind.shop.events import Refusal
from regrind.shop.models import ShopSettings, Wheel
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import family_charts, words
from .families import all_rows
from .filters import FamilyLookForm, ReviewFilter, WhatIf
from .piece_facts import Facts, read_facts
from .pieces import MEANS, RESULTS, page_of, pieces_behind
from .plan_fact import Line, Offer, compare, offers
from .rows import Row, with_verdict
from .sums import tally
from .what_if import try_sizes, with_sizes

TOLD: tuple[TallyName, ...] = ("why", "complaint", "stock", "predicted", "wear")
ALLOWANCES = ("finish_radial", "finish_end")


def _family_or_404(pk: int) -> Family:
    found = Family.objects.filter(pk=pk).first() if pk < 2**62 else None
    if found is None:
        raise Http404(str(pk))
    return found


@needs("owner")
@require_GET
def family(request: HttpRequest, pk: int) -> HttpResponse:
    """A family in the part that is looked at; `before` is the key of the last piece shown."""
    found, shop = _family_or_404(pk), shop_settings()
    form = FamilyLookForm(request.GET, shop)
    look = form.look()
    pieces, more = page_of(pieces_behind(found, look, request.GET), request.GET.get("before", ""))
    asked = {name: request.GET.get(name, "")[:300] for name in ("result", "reason", "complaint", "wear", "took")}
    told: dict[str, Any] = {
        "family": found,
        "form": form,
        "pieces": pieces,
        "results": [(code, word, form.link(result=code)) for code, word in RESULTS],
        "asked": asked,
        "mean": MEANS.get(asked["result"], ""),
        "link": form.link(),
        "more": form.link(**asked, before=more) if more else "",
        "narrowed": look.narrowed,
        "rules": words.say_rules(),
    }
    rows = all_rows(look, form.what_if(), only=found)
    if found.merged_into and not rows:
        told["into"] = found.merged_into
    if rows:
        told |= _told(rows[0], look, form.what_if(), shop, form.link())
    return render(request, "review/family.html", told)


def _told(row: Row, look: ReviewFilter, what_if: WhatIf, shop: ShopSettings, link: str) -> dict[str, Any]:
    """Verdict, pictures and plan against fact of a family that has pieces."""
    assert row.family
    facts, defaults = read_facts(row.family, look), accepted(row.family)
    allowances = allowances_now(defaults, shop)
    senders = senders_of(row.family, look)
    limits = {sender.pk: floor for sender in senders if (floor := smallest_size(sender, row.family))}
    tried = try_sizes(row, facts.pieces, what_if, allowances["finish_radial"], limits)
    judged = with_verdict(with_sizes(row, tried), what_if)
    told = tally(look, *TOLD, families=[row.key])
    charts = family_charts.draw_all(
        row,
        facts,
        {what: lines.get(row.key, []) for what, lines in told.items()},
        shop.unit,
        [*_nominal(row.family), *smallest_sizes(senders, row.family)],
        link,
    )
    return {
        "row": row,
        "verdict": judged.verdict,
        "plain": row.plain,
        "what_if": what_if,
        "tried": tried,
        "charts": charts,
        "rule": words.say_rule(judged.verdict, shop.currency) if judged.verdict else [],
        "reasons": told["why"].get(row.key, []),
        **_plan_against_fact(row.family, look, facts, shop, allowances),
    }


def allowances_now(held: Mapping[str, FamilyDefault], shop: ShopSettings) -> dict[str, int]:
    """The finish allowances that the family's plans take, in nm: what was accepted, else the shop's own."""
    own = {what: row.value_nm for what, row in held.items() if row.value_nm is not None}
    return {"finish_radial": shop.finish_radial_nm, "finish_end": shop.finish_end_nm, **own}


def _plan_against_fact(
    family: Family, look: ReviewFilter, facts: Facts, shop: ShopSettings, allowances: dict[str, int]
) -> dict[str, Any]:
    """Comparisons, what is offered as the family's default, and what was accepted before, newest first."""
    history = list(FamilyDefault.objects.filter(family=family).select_related("event__by").order_by("-pk"))
    since = {row.what: row.recorded_at for row in reversed(history)}
    wheels = {wheel.pk: wheel.name for wheel in Wheel.objects.all()}
    lines = compare(facts.pieces, facts.setups, wheels, shop.unit, since)
    offered = [] if look.narrowed else offers(lines, allowances, shop.unit)
    return {
        "comparisons": [_shown(line, shop.unit) for line in lines],
        "history": history,
        "offers": [(offer, offer_words(offer, shop.unit)) for offer in offered],
        "held": {row.what: row for row in accepted(family).values()},
    }


def _shown(line: Line, unit: Unit) -> dict[str, Any]:
    """A comparison in words: minutes in minutes, lengths in the shop's unit."""

    def say(value: float | None, sign: bool = False) -> str:
        if value is None:
            return "–"
        if line.what == "minutes":
            return f"{value / 100:{'+' if sign else ''}.1f}\u202fmin".replace("-", "−")
        return show_with_unit(round(value), unit, sign=sign)

    within = line.bias.within
    return {
        "what": words.WHAT[line.what],
        "of": line.of,
        "n": line.bias.n,
        "predicted": say(line.predicted),
        "real": say(line.real),
        "off": say(line.bias.mean, sign=True),
        "said": words.say_bias(line),
        "within": f"{say(within.low, True)} to {say(within.high, True)}" if within else "–",
        "bias": line.bias.said == "bias",
    }


def offer_words(offer: Offer, unit: Unit) -> str:
    what = dict(FamilyDefault._meta.get_field("what").choices or [])[offer.what]
    now, then = (show_with_unit(nm, unit) for nm in (offer.now_nm, offer.value_nm))
    return f"Take {then} as this family's {what}, instead of {now}"


def senders_of(family: Family, look: ReviewFilter) -> list[Customer]:
    """Whose pieces of this family are in the part that is looked at."""
    cells = FamilyMonth.objects.filter(look.cells(), family=family, received__gt=0)
    return list(Customer.objects.filter(pk__in=cells.order_by().values("customer")))


def smallest_size(customer: Customer, family: Family) -> int | None:
    floor = customer.smallest_diameter_nm(family.nominal_nm)
    return floor if floor is not None and floor > 0 else None


def smallest_sizes(senders: Iterable[Customer], family: Family) -> list[tuple[int, str]]:
    """The smallest diameters that these senders allow, largest first, each with whose it is."""
    found: dict[int, list[str]] = {}
    for customer in senders:
        if floor := smallest_size(customer, family):
            found.setdefault(floor, []).append(customer.name)
    return [
        (nm, f"smallest, {names[0]}" if len(names) == 1 else f"smallest, {len(names)} customers")
        for nm, names in sorted(found.items(), reverse=True)
    ]


def _nominal(family: Family) -> list[tuple[int, str]]:
    return [(family.nominal_nm, "nominal")] if family.nominal_nm else []


class AcceptForm(forms.Form):
    """A default as it was offered; an empty value takes back what was accepted."""

    what = forms.ChoiceField(choices=[(name, name) for name in ALLOWANCES])
    value_nm = forms.IntegerField(required=False, min_value=0, max_value=2_000_000)
    cases = forms.IntegerField(min_value=0, max_value=10_000_000)
    off_nm = forms.IntegerField(min_value=-100_000_000, max_value=100_000_000)


@needs("owner")
@require_POST
def accept(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an offered default for this family, or take back the one that holds. Only what is offered now is taken."""
    found, form = _family_or_404(pk), AcceptForm(request.POST)
    page = reverse("review:family", args=[found.pk]) + "#plan"

    def act() -> str:
        if not form.is_valid():
            raise Refusal("That is not what the page offered: open the family again.")
        told = form.cleaned_data
        _refuse_what_is_not_offered(found, told)
        accept_default(by=person_of(request), family=found, seen=newest_pk(found, told["what"]), **told)
        return page

    return save(request, None, act=act, page=page)


def _refuse_what_is_not_offered(family: Family, told: dict[str, Any]) -> None:
    """A page that stood open while more was ground may offer another value than the record does now."""
    held, shop = accepted(family), shop_settings()
    if told["value_nm"] is None:
        if told["what"] not in held:
            raise Refusal("Nothing was accepted for this family, or it was taken back already.")
        return
    whole = ReviewFilter()
    told_now = _plan_against_fact(family, whole, read_facts(family, whole), shop, allowances_now(held, shop))
    if not any((offer.what, offer.value_nm) == (told["what"], told["value_nm"]) for offer, _ in told_now["offers"]):
        raise Refusal("That is no longer what the record says: open the family again and see what it offers now.")
