from decimal import Decimal

from django import forms

from regrind.shop.dates import DoneAt, day
from regrind.shop.forms import LengthText
from regrind.shop.models import Holding, Wheel

from ..models import WHEEL_TURNS
from ..piece_form import PiecesForm

ORDER = [("sides_first", "sides, then the end"), ("end_roughed", "end roughed off first, then sides, then the end"),
         ("end_first", "end finished before the sides")]


class GrindForm(PiecesForm):
    grinds = forms.MultipleChoiceField(label="What was ground", widget=forms.CheckboxSelectMultiple,
                                       error_messages={"required": "Tick what was ground."})
    wheel = forms.ModelChoiceField(Wheel.objects.filter(in_use=True), required=False, empty_label="not said")
    holding = forms.ModelChoiceField(Holding.objects.filter(in_use=True), required=False, empty_label="not said",
                                     label="Work holding")
    roughing = forms.ChoiceField(label="Wheel when roughing", choices=WHEEL_TURNS, required=False, initial="onto_rest")
    finishing = forms.ChoiceField(label="Wheel when finishing", choices=WHEEL_TURNS, required=False,
                                  initial="into_edge")
    infeed = LengthText(label="Infeed taken, on the radius", most_nm=10_000_000, required=False)
    end_taken = LengthText(label="Taken off the end", most_nm=50_000_000, required=False)
    minutes = forms.DecimalField(label="Minutes for the setup", min_value=Decimal("0"), max_value=Decimal("2000"),
                                 decimal_places=1, widget=forms.TextInput(attrs={"inputmode": "decimal"}))
    order = forms.ChoiceField(label="In what order", choices=ORDER, initial="sides_first", required=False)
    order_sure = forms.BooleanField(label="The end was finished first all the same", required=False)
    gashed = forms.ChoiceField(label="End gashed again", required=False, choices=[
        ("", "not said"), ("yes", "yes"), ("no", "no")])
    note = forms.CharField(max_length=500, required=False)
    done_at = DoneAt()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        kind = self.line.family.kind_data
        field = self.fields["grinds"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(name, name) for name in kind.grinds]
        if kind.no_sides:
            field.error_messages["invalid_choice"] = f"The sides are left alone: {kind.no_sides}."

    def clean(self):
        data = super().clean() or {}
        if data.get("order") == "end_first" and not data.get("order_sure"):
            self.add_error("order", "The sides go before the end: it can follow later, not the other way round. "
                                    "Tick below if it was so all the same.")
        return data

    def values(self) -> dict:
        """The arguments of actions.grind, besides pieces and revisions."""
        data = self.cleaned_data
        plain = ("grinds", "wheel", "holding", "roughing", "finishing", "note", "done_at")
        return {name: data[name] for name in plain} | {
            "infeed_radial_nm": data["infeed"].nm if data["infeed"] else None,
            "end_taken_nm": data["end_taken"].nm if data["end_taken"] else None,
            "minutes_hundredths": int(data["minutes"] * 100), "end_first": data["order"] == "end_first",
            "gashed": {"yes": True, "no": False}.get(data["gashed"])}


class AwayForm(PiecesForm):
    number = forms.CharField(label="Slip number", max_length=40)
    coater = forms.CharField(max_length=120)
    coating = forms.CharField(label="Coating", max_length=40)
    expected = day(label="Expected back")


class BackForm(PiecesForm):
    done_at = DoneAt(label="When they came back, if not now")
