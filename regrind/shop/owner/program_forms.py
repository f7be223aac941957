"""The form of the program's own settings. An empty field takes the setting out of the file."""

import os
from pathlib import Path
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError

from regrind.settings_file import BY_KEY

from ..fields.forms import ShopForm
from .program import ON_THE_PAGE

Value = TypeVar("Value")


class ProgramForm(ShopForm):
    version = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)
    time_zone = forms.CharField(
        label="Time zone", max_length=60, required=False, help_text="Such as Europe/Warsaw. Left empty, it is UTC."
    )
    idle_hours = forms.CharField(
        label="Sign out after (hours)",
        max_length=8,
        required=False,
        help_text="A session that is unused for longer ends. Left empty, 8 hours.",
    )
    hosts = forms.CharField(
        label="More addresses",
        max_length=500,
        required=False,
        help_text="Names or addresses that tablets may open besides this computer’s usual ones, with commas between.",
    )
    backups = forms.CharField(
        label="Folder for backups",
        max_length=300,
        required=False,
        help_text="The whole path of a folder that is there, best on another disk.",
    )

    def clean_time_zone(self) -> str | None:
        return self._checked("time_zone", self.cleaned_data["time_zone"], self.cleaned_data["time_zone"])

    def clean_idle_hours(self) -> float | None:
        text = self.cleaned_data["idle_hours"]
        try:
            hours: float | None = float(text.replace(",", ".")) if text else None
        except ValueError:
            hours = None
        return self._checked("idle_hours", text, int(hours) if hours is not None and hours % 1 == 0 else hours)

    def clean_hosts(self) -> list[str] | None:
        text = self.cleaned_data["hosts"]
        return self._checked("hosts", text, [name.lower() for name in text.replace(",", " ").split()])

    def clean_backups(self) -> str | None:
        folder = self._checked("backups", self.cleaned_data["backups"], self.cleaned_data["backups"])
        if folder and not (Path(folder).is_dir() and os.access(folder, os.W_OK)):
            raise ValidationError(
                f"“{folder}” is no folder that the program can write to. Make it, or plug in its disk, then save again."
            )
        return folder

    def _checked(self, key: str, text: str, value: Value) -> Value | None:
        if not text:
            return None
        if BY_KEY[key].refuse(value):
            raise ValidationError(f"“{text}” cannot be used here. {ADVICE[key]}")
        return value

    def changes(self) -> dict[str, Any]:
        return {key: self.cleaned_data[key] for key in ON_THE_PAGE}


ADVICE = {
    "time_zone": "Write a region and a city, such as Europe/Warsaw.",
    "idle_hours": "Write a number of hours from 0.1 to 336, such as 8.",
    "hosts": "Write names or addresses alone, such as tools.example, 192.168.1.20.",
    "backups": "Write the whole path of a folder, from the root or the drive on.",
}
