"""The counter's forms: a box, its lines as they are said, a customer with terms."""
from django import forms

from regrind.geometry.units import show_with_unit
from regrind.record.kinds import CHOICES
from regrind.record.models import Batch, Customer, Family
from regrind.shop.dates import DoneAt, day
from regrind.shop.forms import AngleText, LengthText, MoneyText, ShopForm

from .said import MOST_PIECES, Said, understand

LONGEST_TOOL_NM = 1_000_000_000


def set_unit(form: forms.Form, unit: str) -> None:
    """Read and echo every length of the form in `unit`."""
    for form_field in form.fields.values():
        if isinstance(form_field, LengthText):
            form_field.unit = unit      # type: ignore[assignment]
            form_field.widget.attrs["data-unit"] = unit


def as_text(nm: int | None, unit: str) -> str:
    return "" if nm is None else show_with_unit(nm, unit)      # type: ignore[arg-type]


class BatchForm(ShopForm):
    customer = forms.ModelChoiceField(Customer.objects.filter(active=True), empty_label="choose a customer")
    order_number = forms.CharField(label="Their order number", max_length=60, required=False)
    their_count = forms.IntegerField(label="Their count", min_value=0, max_value=100_000, required=False,
                                     widget=forms.TextInput(attrs={"inputmode": "numeric"}))
    due = day(label="Due")
    rush = forms.BooleanField(label="Rush", required=False)
    note = forms.CharField(max_length=5000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    received_at = DoneAt(label="When it came, if not now")
    said = forms.CharField(label="What is in the box", required=False, max_length=8000,
                           widget=forms.Textarea(attrs={"rows": 6}),
                           help_text="One line for each kind of tool: 12 x 1/4 3fl carbide 30° AlTiN")


class BatchHeadForm(ShopForm):
    """The head of a box that is already logged."""

    order_number = forms.CharField(label="Their order number", max_length=60, required=False)
    their_count = forms.IntegerField(label="Their count", min_value=0, max_value=100_000, required=False,
                                     widget=forms.TextInput(attrs={"inputmode": "numeric"}))
    difference = forms.CharField(label="Who agreed the difference", max_length=200, required=False)
    due = day(label="Due")
    rush = forms.BooleanField(label="Rush", required=False)
    note = forms.CharField(max_length=5000, required=False, widget=forms.Textarea(attrs={"rows": 2}))

    @classmethod
    def of(cls, batch: Batch, data=None) -> "BatchHeadForm":
        return cls(data, initial={name: getattr(batch, name) for name in cls.base_fields})


class SaidForm(ShopForm):
    said = forms.CharField(label="What is in the box", max_length=8000, widget=forms.Textarea(attrs={"rows": 5}),
                           help_text="One line for each kind of tool: 6x 8mm 4 flute, or 2 x 1/2 BN")


class LineForm(ShopForm):
    """One line of like tools, field by field, as it will be kept."""

    said = forms.CharField(max_length=200, required=False, widget=forms.HiddenInput)
    count = forms.IntegerField(label="Pieces", min_value=1, max_value=MOST_PIECES,
                               widget=forms.TextInput(attrs={"inputmode": "numeric"}))
    kind = forms.ChoiceField(choices=CHOICES)
    nominal = LengthText(label="Cutting diameter", least_nm=100_000, most_nm=500_000_000, required=False)
    teeth = forms.IntegerField(label="Flutes or teeth", min_value=1, max_value=99, required=False,
                               widget=forms.TextInput(attrs={"inputmode": "numeric"}))
    material = forms.ChoiceField(required=False, choices=[("", "not known"),
                                                          *Family._meta.get_field("material").choices])  # type: ignore[misc]
    coating = forms.CharField(max_length=20, required=False)
    helix = AngleText(label="Helix", least=0, most=70, required=False)
    corner_radius = LengthText(label="Corner radius", most_nm=100_000_000, required=False)
    point_angle = AngleText(label="Point angle", least=20, most=180, required=False)
    shank = LengthText(label="Shank", most_nm=200_000_000, required=False)
    flute_length = LengthText(label="Flute length", most_nm=LONGEST_TOOL_NM, required=False)
    overall = LengthText(label="Overall length", most_nm=LONGEST_TOOL_NM, required=False)
    maker = forms.CharField(label="Maker's mark", max_length=60, required=False)
    catalogue = forms.CharField(label="Catalogue number", max_length=60, required=False)
    hand_of_cut = forms.ChoiceField(label="Hand of cut", choices=[("right", "right"), ("left", "left")], required=False)
    unequal_index = forms.BooleanField(label="Unequal index", required=False)
    customer_tool_number = forms.CharField(label="Their tool number", max_length=60, required=False)
    matched = forms.BooleanField(label="Keep matched", required=False)
    match_tolerance = LengthText(label="Matched within", most_nm=5_000_000, required=False)
    note = forms.CharField(max_length=2000, required=False)

    LENGTHS = ("nominal", "corner_radius", "shank", "flute_length", "overall", "match_tolerance")
    FAMILY = ("teeth", "material", "coating", "maker", "catalogue", "unequal_index")

    def __init__(self, *args, unit: str, **kwargs):
        super().__init__(*args, **kwargs)
        set_unit(self, unit)

    def clean(self):
        data = super().clean() or {}
        if data.get("matched") and not data.get("match_tolerance") and "match_tolerance" not in self.errors:
            self.add_error("match_tolerance", "Say within what the pieces stay matched, .0005 in for example.")
        return data

    def family(self) -> dict:
        """What the line says of its family, by the names of Family's columns."""
        data = self.cleaned_data
        told = {name: data[name] for name in self.FAMILY}
        told |= {f"{name}_nm": data[name].nm if data[name] else None
                 for name in ("nominal", "corner_radius", "shank", "flute_length", "overall")}
        return told | {"kind": data["kind"], "helix_cdeg": data["helix"], "point_angle_cdeg": data["point_angle"],
                       "hand_of_cut": data["hand_of_cut"] or "right"}

    def line(self) -> dict:
        """What is the line's own."""
        data = self.cleaned_data
        return {name: data[name] for name in ("said", "count", "customer_tool_number", "matched", "note")} | {
            "match_tolerance_nm": data["match_tolerance"].nm if data["match_tolerance"] else None}


def initial_of(said: Said, unit: str) -> dict:
    """The first values of a LineForm from what was understood; what was not goes into the note, by name."""
    lengths = {name: as_text(getattr(said, f"{name}_nm"), unit)
               for name in ("nominal", "corner_radius", "shank", "flute_length", "overall")}
    angles = {name: "" if cdeg is None else f"{cdeg / 100:g}" for name, cdeg in
              (("helix", said.helix_cdeg), ("point_angle", said.point_angle_cdeg))}
    plain = {name: getattr(said, name) for name in ("count", "kind", "teeth", "material", "coating", "hand_of_cut",
                                                    "unequal_index")}
    return plain | lengths | angles | {"said": said.text, "note": " ".join(said.unknown)}


def understood(text: str, unit: str) -> list[Said]:
    """Every line of `text` that holds something, understood; at most forty."""
    lines = [line for line in text.splitlines() if line.strip()]
    return [understand(line, unit) for line in lines[:40]]      # type: ignore[arg-type]


class CustomerForm(ShopForm):
    name = forms.CharField(max_length=120)
    contact = forms.CharField(max_length=120, required=False)
    mail = forms.EmailField(required=False, max_length=254)
    phone = forms.CharField(max_length=40, required=False)
    address = forms.CharField(max_length=400, required=False, widget=forms.Textarea(attrs={"rows": 3}))
    unit = forms.ChoiceField(label="Preferred unit", choices=[("in", "inch"), ("mm", "millimetre")])
    smallest = LengthText(label="Smallest diameter", most_nm=500_000_000, required=False)
    under = LengthText(label="No more under nominal than", most_nm=50_000_000, required=False,
                       help_text=".015 in: no more than that under nominal")
    percent = forms.DecimalField(label="No more per cent under nominal than", min_value=0, max_value=50,
                                 decimal_places=2, required=False, widget=forms.TextInput(attrs={"inputmode": "decimal"}))
    step = LengthText(label="Keep on steps of", most_nm=5_000_000, required=False)
    shortest = LengthText(label="Shortest usable length", most_nm=500_000_000, required=False)
    keep = forms.ChoiceField(required=False, choices=Customer._meta.get_field("keep").choices)      # type: ignore[arg-type]
    always_ask = forms.BooleanField(label="Always ask before grinding", required=False)
    never_scrap_unasked = forms.BooleanField(label="Never scrap without asking", required=False)
    scrap = forms.ChoiceField(label="Scrap is", choices=Customer._meta.get_field("scrap").choices)      # type: ignore[arg-type]
    prices_on_slip = forms.BooleanField(label="Prices on the packing slip", required=False)
    regrinds_left_on_report = forms.BooleanField(label="Regrinds left on the report", required=False)
    batch_minimum = MoneyText(label="Batch minimum", required=False)
    rush_charge = MoneyText(label="Rush charge", required=False)
    note = forms.CharField(max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    active = forms.BooleanField(label="Still a customer", required=False, initial=True)

    LENGTHS = ("smallest", "under", "step", "shortest")
    PLAIN = ("name", "contact", "mail", "phone", "address", "unit", "keep", "always_ask", "never_scrap_unasked",
             "scrap", "prices_on_slip", "regrinds_left_on_report", "note", "active")

    def __init__(self, *args, unit: str, **kwargs):
        super().__init__(*args, **kwargs)
        set_unit(self, unit)

    def values(self) -> dict:
        """By the names of Customer's columns."""
        data = self.cleaned_data
        return {name: data[name] for name in self.PLAIN} | {
            f"{name}_nm": data[name].nm if data[name] else None for name in self.LENGTHS} | {
            "under_hundredths_percent": None if data["percent"] is None else int(data["percent"] * 100),
            "batch_minimum_minor": data["batch_minimum"] or 0, "rush_charge_minor": data["rush_charge"] or 0}

    @classmethod
    def initial_of(cls, customer: Customer) -> dict:
        percent = customer.under_hundredths_percent
        return {name: getattr(customer, name) for name in cls.PLAIN} | {
            name: as_text(getattr(customer, f"{name}_nm"), customer.unit) for name in cls.LENGTHS} | {
            "percent": "" if percent is None else f"{percent / 100:g}",
            "batch_minimum": f"{customer.batch_minimum_minor / 100:.2f}",
            "rush_charge": f"{customer.rush_charge_minor / 100:.2f}"}
