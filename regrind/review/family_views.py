"""One family: its verdict, figures, charts, planned and actual values, and the pieces behind every figure."""

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
from regrind.record.models import Customer, Family, FamilyDefault
from regrind.shop.events import Refusal
from regrind.shop.models import ShopSettings, Wheel
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import family_charts, words
from .families import all_rows
from .figures import family_figures
from .filters import FamilyLookForm, ReviewFilter, WhatIf
from .piece_facts import Facts, read_facts
from .pieces import page_of, pieces_behind, result_chips, say_asked, say_no_pieces
from .plan_fact import Comparison, Offer, compare, offers
from .rows import Row, with_verdict
from .sums import senders, tally
from .what_if import try_sizes, with_sizes

TALLIES: tuple[TallyName, ...] = ("why", "complaint", "stock", "predicted", "wear")
ALLOWANCES = ("finish_radial", "finish_end")


def _family_or_404(pk: int) -> Family:
    family = Family.objects.filter(pk=pk).first() if pk < 2**62 else None
    if family is None:
        raise Http404(str(pk))
    return family


@needs("owner")
@require_GET
def family(request: HttpRequest, pk: int) -> HttpResponse:
    """A family within the filters; `before` in the address is the key of the last piece shown."""
    shown_family, shop = _family_or_404(pk), shop_settings()
    form = FamilyLookForm(request.GET, shop)
    look = form.look()
    pieces, more = page_of(pieces_behind(shown_family, look, request.GET), request.GET.get("before", ""))
    asked = {name: request.GET.get(name, "")[:300] for name in ("result", "reason", "complaint", "wear", "took")}
    context: dict[str, Any] = {
        "family": shown_family,
        "form": form,
        "pieces": pieces,
        "results": result_chips(asked, form.link),
        "only": say_asked(asked),
        "no_pieces": say_no_pieces(shown_family, narrowed=look.narrowed or any(asked.values())),
        "link": form.link(),
        "families_address": reverse("review:families") + form.link(),
        "more": form.link(**asked, before=more) if more else "",
        "narrowed": look.narrowed,
        "rules": words.say_rules(),
    }
    rows = all_rows(look, form.what_if(), only=shown_family)
    if shown_family.merged_into and not rows:
        context["into"] = shown_family.merged_into
    if rows:
        context |= _judged(rows[0], look, form.what_if(), shop, form.link())
    return render(request, "review/family.html", context)


def _judged(row: Row, look: ReviewFilter, what_if: WhatIf, shop: ShopSettings, link: str) -> dict[str, Any]:
    """Verdict, figures, charts and planned against actual of a family that has pieces."""
    assert row.family
    facts, defaults = read_facts(row.family, look), accepted(row.family)
    allowances = allowances_now(defaults, shop)
    senders = senders_of(row.family, look)
    limits = {sender.pk: floor for sender in senders if (floor := smallest_size(sender, row.family))}
    tried = try_sizes(row, facts.pieces, what_if, allowances["finish_radial"], limits)
    judged = with_verdict(with_sizes(row, tried), what_if)
    tallies = tally(look, *TALLIES, families=[row.key])
    charts = family_charts.draw_all(
        row,
        facts,
        {name: lines.get(row.key, []) for name, lines in tallies.items()},
        shop.unit,
        [*_nominal(row.family), *smallest_sizes(senders, row.family)],
        link,
    )
    return {
        "row": row,
        "verdict": judged.verdict,
        "what_if": what_if,
        "what_if_words": words.say_what_if(judged.verdict, row.plain, tried),
        "figures": family_figures(row, tried, shop.unit, link),
        "charts": charts,
        "rule": words.say_rule(judged.verdict, shop.currency) if judged.verdict else [],
        **_planned_and_actual(row.family, look, facts, shop, allowances),
    }


def allowances_now(held: Mapping[str, FamilyDefault], shop: ShopSettings) -> dict[str, int]:
    """The finish allowances that the family's plans take, in nm: what was accepted, else the shop's own."""
    accepted_nm = {name: row.value_nm for name, row in held.items() if row.value_nm is not None}
    return {"finish_radial": shop.finish_radial_nm, "finish_end": shop.finish_end_nm, **accepted_nm}


def _planned_and_actual(
    family: Family, look: ReviewFilter, facts: Facts, shop: ShopSettings, allowances: dict[str, int]
) -> dict[str, Any]:
    """Comparisons, the offered defaults, and the accepted ones with whether they can be removed, newest first."""
    history = list(FamilyDefault.objects.filter(family=family).select_related("event__by").order_by("-pk"))
    since = {row.what: row.recorded_at for row in reversed(history)}
    wheels = {wheel.pk: wheel.name for wheel in Wheel.objects.all()}
    current = {row.pk for row in accepted(family).values()}
    lines = compare(facts.pieces, facts.setups, wheels, shop.unit, since)
    offered = [] if look.narrowed else offers(lines, allowances, shop.unit)
    return {
        "comparisons": [_shown(line, shop.unit) for line in lines],
        "history": [(row, row.pk in current) for row in history],
        "offers": [(offer, offer_words(offer, shop.unit)) for offer in offered],
    }


def _shown(line: Comparison, unit: Unit) -> dict[str, Any]:
    """A comparison in words: minutes in minutes, lengths in the shop's unit."""

    def say(value: float | None, sign: bool = False) -> str:
        if value is None:
            return "–"
        if line.quantity == "minutes":
            return f"{value / 100:{'+' if sign else ''}.1f}\u202fmin".replace("-", "−")
        return show_with_unit(round(value), unit, sign=sign)

    within = line.bias.within
    return {
        "quantity": words.WHAT[line.quantity],
        "scope": line.scope,
        "n": line.bias.n,
        "predicted": say(line.predicted),
        "actual": say(line.actual),
        "off": say(line.bias.mean, sign=True),
        "finding": words.say_bias(line),
        "within": f"{say(within.low, True)} to {say(within.high, True)}" if within else "–",
        "bias": line.bias.finding == "bias",
    }


def offer_words(offer: Offer, unit: Unit) -> str:
    allowance = dict(FamilyDefault._meta.get_field("what").choices or [])[offer.allowance]
    now, then = (show_with_unit(nm, unit) for nm in (offer.now_nm, offer.value_nm))
    off = show_with_unit(offer.off_nm, unit, sign=True)
    return (
        f"Use {then} as this family's {allowance}, instead of {now}: the actual values of {offer.cases} regrinds are "
        f"{off} off the prediction on average. New plans use it from now on."
    )


def senders_of(family: Family, look: ReviewFilter) -> list[Customer]:
    """The customers whose pieces of this family are within the filters."""
    return list(Customer.objects.filter(pk__in=senders(look, family.pk)))


def smallest_size(customer: Customer, family: Family) -> int | None:
    floor = customer.smallest_diameter_nm(family.nominal_nm)
    return floor if floor is not None and floor > 0 else None


def smallest_sizes(senders: Iterable[Customer], family: Family) -> list[tuple[int, str]]:
    """The smallest diameters that these customers allow, largest first, each with its customer."""
    senders_by_size: dict[int, list[str]] = {}
    for customer in senders:
        if floor := smallest_size(customer, family):
            senders_by_size.setdefault(floor, []).append(customer.name)
    return [
        (nm, f"smallest, {names[0]}" if len(names) == 1 else f"smallest, {len(names)} customers")
        for nm, names in sorted(senders_by_size.items(), reverse=True)
    ]


def _nominal(family: Family) -> list[tuple[int, str]]:
    return [(family.nominal_nm, "nominal")] if family.nominal_nm else []


class AcceptForm(forms.Form):
    """A default as it was offered; an empty value removes the accepted one."""

    what = forms.ChoiceField(choices=[(name, name) for name in ALLOWANCES])
    value_nm = forms.IntegerField(required=False, min_value=0, max_value=2_000_000)
    cases = forms.IntegerField(min_value=0, max_value=10_000_000)
    off_nm = forms.IntegerField(min_value=-100_000_000, max_value=100_000_000)


@needs("owner")
@require_POST
def accept(request: HttpRequest, pk: int) -> HttpResponse:
    """Accept an offered default for this family, or remove the accepted one. Only what is offered now is accepted."""
    family, form = _family_or_404(pk), AcceptForm(request.POST)
    page = reverse("review:family", args=[family.pk]) + "#plan"

    def act() -> str:
        if not form.is_valid():
            raise Refusal("The posted value is not the one that the page offered. Open the family again.")
        offered = form.cleaned_data
        _refuse_what_is_not_offered(family, offered)
        accept_default(by=person_of(request), family=family, seen=newest_pk(family, offered["what"]), **offered)
        return page

    return save(request, None, act=act, page=page)


def _refuse_what_is_not_offered(family: Family, posted: dict[str, Any]) -> None:
    """A page that was open while more was ground may offer another value than the record does now."""
    held, shop = accepted(family), shop_settings()
    if posted["value_nm"] is None:
        if posted["what"] not in held:
            raise Refusal("This family has no accepted value, or it was removed already. Open the family again.")
        return
    whole = ReviewFilter()
    current = _planned_and_actual(family, whole, read_facts(family, whole), shop, allowances_now(held, shop))
    if not any(
        (offer.allowance, offer.value_nm) == (posted["what"], posted["value_nm"]) for offer, _ in current["offers"]
    ):
        raise Refusal("This has changed: the record offers another value now. Open the family again.")
