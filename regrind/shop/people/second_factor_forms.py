"""The form of a code from a phone."""

from django import forms
from django.core.exceptions import ValidationError

from ..fields.forms import ShopForm
from ..fields.whole_numbers import read_whole


class CodeForm(ShopForm):
    refused_beside = "code"
    code = forms.CharField(
        label="Code from your phone",
        max_length=12,
        widget=forms.TextInput(
            attrs={"inputmode": "numeric", "autocomplete": "one-time-code", "autofocus": "autofocus", "class": "pin"}
        ),
    )

    def clean_code(self) -> str:
        code: str = self.cleaned_data["code"].replace(" ", "")
        if len(code) != 6 or read_whole(code, 6) is None:
            raise ValidationError("That is not a code. Write the six digits that your phone shows.")
        return code
