"""The form of a code from a phone."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from ..fields.forms import ShopForm
from ..fields.whole_numbers import read_whole
from .account_forms import password_field


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


class PresentPassword(ShopForm):
    """A change of the second factor needs the password: a session that was left open changes nothing."""

    present_password = password_field("Your password", "current-password")

    def __init__(self, *args: Any, objection: Callable[[str], str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.objection = objection

    def clean_present_password(self) -> str:
        password: str = self.cleaned_data["present_password"]
        if message := self.objection(password):
            raise ValidationError(message)
        return password


class SetUpForm(PresentPassword, CodeForm):
    field_order = ["code", "present_password"]
