"""A page for developers alone: every shared part, in each of its states."""

from types import SimpleNamespace

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from ..fields.dates import day
from ..fields.forms import AngleText, LengthText, MoneyText, ShopForm
from ..fields.whole_numbers import WholeText
from ..templatetags.parts import STATES

FIGURES = [("Diameter", 6_345_000, True), ("Usable length", 19_050_000, False), ("Land", None, False)]
ROWS = [
    {
        "address": "#row",
        "key": "417-3",
        "title": "1/4 in square end mill, 4 flutes, carbide, AlTiN",
        "note": "Northgate Machining, due 4 Dec, waits 3 days",
        "badges": [("rush", "rush"), ("overdue", "rush")],
        "count": 12,
    },
    {"address": "#row", "key": "1204-11", "title": "Reamer, 6 flutes, HSS", "count": 1},
]
WRONG = {"size": "0.2.5", "depth": "5", "relief": "95", "price": "7,5,0", "pieces": "0", "due": "soon"}


class PartsForm(ShopForm):
    """One field of each kind."""

    name = forms.CharField(label="Name", max_length=60)
    size = LengthText(label="Size", required=False, help_text="As marked on the shank.")
    depth = LengthText(label="Depth of the damage", required=False)
    relief = AngleText(label="Primary relief", required=False)
    price = MoneyText(label="Price", required=False)
    pieces = WholeText(label="Pieces", least=1, most=500, required=False)
    due = day(label="Due")
    material = forms.ChoiceField(label="Material", choices=[("carbide", "carbide"), ("HSS", "HSS")])
    rush = forms.BooleanField(label="Rush", required=False)
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}))


@require_GET
def parts(request: HttpRequest) -> HttpResponse:
    """Every shared part of templates/shop/parts; only where settings.DEV_PAGES is set."""
    context = {
        "form": PartsForm(auto_id="empty_%s"),
        "wrong_form": PartsForm(WRONG, auto_id="wrong_%s"),
        "states": [*STATES, "not_measured"],
        "rows": ROWS,
        "figures": FIGURES,
        "undo": _undo(reason_needed=False),
        "undo_with_reason": _undo(reason_needed=True),
    }
    return render(request, "shop/dev_parts.html", context)


def _undo(reason_needed: bool) -> SimpleNamespace:
    return SimpleNamespace(
        event=SimpleNamespace(pk=1), words="Ground, 09:14, by Bea: 6 pieces", reason_needed=reason_needed
    )
