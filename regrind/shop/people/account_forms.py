"""The form of one's own password."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from ..fields.forms import ShopForm
from ..models import Person


def password_field(label: str, autocomplete: str, **kwargs: Any) -> forms.CharField:
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(label=label, max_length=200, strip=False, widget=widget, **kwargs)


class PasswordForm(ShopForm):
    """The old password, and a new one twice. objection: why a text is not taken as the old one, "" where it is."""

    old_password = password_field("Present password", "current-password")
    new_password = password_field("New password", "new-password", help_text="At least ten characters.")
    password_again = password_field("New password again", "new-password")

    def __init__(self, *args: Any, person: Person, objection: Callable[[str], str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person, self.objection = person, objection

    def clean_old_password(self) -> str:
        old: str = self.cleaned_data["old_password"]
        if message := self.objection(old):
            raise ValidationError(message)
        return old

    def clean_new_password(self) -> str:
        new: str = self.cleaned_data["new_password"]
        validate_password(new, self.person)
        if new == self.cleaned_data.get("old_password"):
            raise ValidationError("That is your present password. Choose another one.")
        return new

    def clean(self) -> dict[str, Any]:
        values = super().clean() or self.cleaned_data
        again = values.get("password_again")
        if values.get("new_password") and again is not None and values["new_password"] != again:
            self.add_error("password_again", "The two new passwords differ. Type the new password again.")
        return values
