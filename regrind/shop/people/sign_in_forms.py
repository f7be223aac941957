"""The form of the sign-in."""

from django import forms

from ..fields.forms import ShopForm


class SignInForm(ShopForm):
    name = forms.CharField(max_length=60, widget=forms.TextInput(attrs={"autocomplete": "username"}))
    password = forms.CharField(
        max_length=200, strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )
