"""The owner's forms: people and the shop's settings."""

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from regrind.geometry.units import Typed, Unit

from ..countries import read_country
from ..fields.exact_lengths import exact_text
from ..fields.forms import LengthText, ShopForm
from ..fields.whole_numbers import WholeText
from ..files.photos import PhotoRefused, redraw_logo
from ..files.picture_heads import JPEG, PNG
from ..models import UNITS, ShopSettings
from .settings import usual_lengths

ROLES = (("front_desk", "Front desk"), ("bench", "Bench"), ("owner", "Owner"))


class PersonForm(ShopForm):
    front_desk = forms.BooleanField(label="Front desk", required=False)
    bench = forms.BooleanField(label="Bench", required=False)
    owner = forms.BooleanField(label="Owner", required=False)
    is_active = forms.BooleanField(label="Active", required=False, initial=True)
    left_handed = forms.BooleanField(label="Number pad on the left", required=False)
    password = forms.CharField(
        label="New password",
        required=False,
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least ten characters. Leave it empty to keep the present one.",
    )

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        if password:
            validate_password(password)
        return password


class NewPersonForm(PersonForm):
    name = forms.CharField(max_length=60)
    field_order = ["name", "password"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["is_active"], self.fields["left_handed"]
        self.fields["password"].required = True
        self.fields["password"].help_text = "At least ten characters."


OWN_UNITS: dict[str, Unit] = {"dial_step_in": "in", "dial_step_mm": "mm"}
PLAIN = (
    "name",
    "address",
    "country",
    "phone",
    "mail",
    "logo_in_colour",
    "unit",
    "paper",
    "bench_paper",
    "first_number",
    "currency",
    "remind_days",
    "reasons",
    "tool_pages",
)


class ShopSettingsForm(ShopForm):
    name = forms.CharField(label="Shop name", max_length=80)
    address = forms.CharField(label="Address", max_length=400, required=False, widget=forms.Textarea(attrs={"rows": 3}))
    country = forms.CharField(
        label="Country", max_length=60, required=False, help_text="Two letters, such as US; for e-invoices and labels."
    )
    phone = forms.CharField(max_length=40, required=False)
    mail = forms.EmailField(max_length=120, required=False)
    unit = forms.ChoiceField(label="The shop's unit", choices=UNITS)
    paper = forms.ChoiceField(
        label="Paper size",
        choices=[("letter", "Letter, 8.5 × 11 in"), ("A4", "A4, 210 × 297 mm")],
        help_text="What lies in the printer. Sheets of labels have their own choice, where labels are printed.",
    )
    bench_paper = forms.ChoiceField(
        label="Paper size at the bench",
        required=False,
        choices=[("", "the same"), ("letter", "Letter, 8.5 × 11 in"), ("A4", "A4, 210 × 297 mm")],
        help_text="Job sheets and setup cards, where they come from a printer of their own.",
    )
    first_number = forms.IntegerField(
        label="Number of the first box",
        min_value=1,
        max_value=9_000_000,
        help_text="Boxes are counted on from the highest number so far; the first one of all gets this.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    currency = forms.RegexField(
        r"^[A-Z]{3}$",
        label="Currency",
        max_length=3,
        help_text="Three capitals, such as USD or EUR.",
        error_messages={"invalid": "That is not a currency code. Write three capitals, such as USD or EUR."},
    )
    remind_days = WholeText(
        label="Remind of a quote after (days)",
        least=1,
        most=90,
        required=False,
        help_text="Counted from its mail; once, and only while it waits for an answer. Empty: never.",
    )
    size_step = LengthText(
        label="Step between common sizes",
        least_nm=1_000,
        most_nm=5_000_000,
        help_text="Pieces that share a size leave at the nominal diameter less whole steps.",
    )
    finish_radial = LengthText(
        label="Finish allowance, radial",
        most_nm=1_000_000,
        help_text="Taken off each side beyond the deepest damage, so that the edge comes clean.",
    )
    finish_end = LengthText(
        label="Finish allowance, end",
        most_nm=2_000_000,
        help_text="The same off the end.",
    )
    stylus_distance = LengthText(
        label="Flute length lost at the back",
        most_nm=50_000_000,
        help_text="The stylus stands there, so that the sides cannot be ground so near the end of the flute.",
    )
    dial_step_in = LengthText(
        label="Dial step, inch tools",
        least_nm=250,
        most_nm=254_000,
        help_text="The least that the machine’s infeed moves: cards give infeeds in whole steps.",
    )
    dial_step_mm = LengthText(label="Dial step, millimetre tools", least_nm=250, most_nm=254_000)
    runout_limit = LengthText(
        label="Largest runout allowed",
        least_nm=250,
        most_nm=1_000_000,
        required=False,
        help_text="Where neither the customer nor a table for carbide end mills names one. Left empty, runout is "
        "shown and not judged.",
    )
    gash_minutes = forms.DecimalField(
        label="Minutes to gash a tooth again",
        min_value=Decimal("0"),
        max_value=Decimal("60"),
        decimal_places=2,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        help_text="For each tooth, where a cut-back passes the gash. 1.5 is from memory: put your own.",
        error_messages={"invalid": "That is no number of minutes. Write 1.5 or 2, from 0 to 60."},
    )
    reasons = forms.CharField(
        label="Reasons to ask about a tool or return it",
        max_length=600,
        required=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="One a line, as the customer reads it: each is a button on the plan.",
    )
    tool_pages = forms.BooleanField(
        label="Labels open the tool’s own page",
        required=False,
        help_text="Whoever scans the label of a tool with a life tag sees its size, corner, coating and visits. That "
        "needs a public address.",
    )
    logo = forms.FileField(label="Logo", required=False, help_text="PNG or JPEG, at most 300 kB.")
    logo_in_colour = forms.BooleanField(label="Print the logo in colour, not in greys", required=False)

    LENGTHS = (
        "size_step",
        "finish_radial",
        "finish_end",
        "stylus_distance",
        "dial_step_in",
        "dial_step_mm",
        "runout_limit",
    )

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.old_unit: Unit = unit
        for name in self.LENGTHS:
            field = self.fields[name]
            assert isinstance(field, LengthText)
            field.unit = OWN_UNITS.get(name, unit)
            field.widget.attrs["data-unit"] = field.unit

    def clean_country(self) -> str:
        try:
            return read_country(self.cleaned_data["country"])
        except ValueError as error:
            raise ValidationError(str(error)) from error

    def clean_logo(self) -> bytes | None:
        file = self.cleaned_data.get("logo")
        if not file:
            return None
        content = file.read(300_001)
        if len(content) > 300_000:
            raise ValidationError("The logo is larger than 300 kB. Choose a smaller file.")
        if not content.startswith((PNG, JPEG)):
            raise ValidationError("The logo is neither PNG nor JPEG. Choose a PNG or JPEG file.")
        try:
            return redraw_logo(content)
        except PhotoRefused as error:
            raise ValidationError(str(error).replace("photo", "logo")) from error

    def changes(self) -> dict[str, object]:
        """The clean values by the names of ShopSettings's columns."""
        data = self.cleaned_data
        typed = {name: data[name] for name in self.LENGTHS}
        lengths = {f"{name}_nm": value.nm if isinstance(value, Typed) else None for name, value in typed.items()}
        if data["unit"] != self.old_unit:
            lengths |= self._usual_in(data["unit"], lengths)
        plain = {name: data[name] for name in PLAIN}
        if data["gash_minutes"] is not None:
            plain["gash_hundredths"] = int(data["gash_minutes"] * 100)
        return plain | lengths | ({"logo": data["logo"]} if data["logo"] else {})

    def _usual_in(self, unit: Unit, lengths: dict[str, int | None]) -> dict[str, int]:
        """What still stands as the old unit's shops begin with, as those of the new unit do."""
        before, after = usual_lengths(self.old_unit), usual_lengths(unit)
        return {f"{name}_nm": after[name] for name in before if lengths[f"{name}_nm"] == before[name]}


def initial_values(row: ShopSettings) -> dict[str, object]:
    lengths = {name: exact_text(getattr(row, f"{name}_nm"), row.unit) for name in ShopSettingsForm.LENGTHS}
    plain = {name: getattr(row, name) for name in PLAIN} | ({} if row.named else {"name": ""})
    return plain | lengths | {"gash_minutes": f"{row.gash_hundredths / 100:g}"}
