"""The settings of the program itself, as opposed to those of the shop: its settings file, and where its data lie."""

import hashlib
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection

from regrind import settings_file
from regrind.settings_file import BY_KEY, SettingsError

from ..events import Conflict, Refusal, event
from ..models import Person

ON_THE_PAGE = ("time_zone", "idle_hours", "hosts", "backups")  # a mistake in any other one locks the shop out


def data() -> Path:
    return Path(settings.DATA)


def present() -> tuple[str, dict[str, Any], str]:
    """The file's text, its values, and what is wrong with it ("" where nothing is)."""
    try:
        text = settings_file.text_of_file(data())
        return text, settings_file.parse(text, settings_file.NAME), ""
    except (SettingsError, OSError, UnicodeDecodeError) as error:
        return "", {}, str(error)


def version_of(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def save_program_settings(*, by: Person, version: str, changes: dict[str, Any]) -> None:
    """Write changed settings into the file. Conflict where it was changed since the page was opened; Refusal where it
    cannot be read or written."""
    text, values, problem = present()
    if problem:
        raise Refusal(problem)
    if version and version != version_of(text):
        raise Conflict(
            "The settings file was changed while your page was open.",
            theirs={key: settings_file.as_text(values.get(key, "")) for key in ON_THE_PAGE},
        )
    try:
        changed = settings_file.change(text, changes)
        with event(by, "settings", why=settings_file.NAME):
            settings_file.write(data(), changed)
    except (SettingsError, OSError) as error:
        raise Refusal(f"The settings file cannot be written: {error}") from error


def needs_restart() -> bool:
    """Whether the file differs from what the running program has read."""
    return present()[1] != settings.SETTINGS_AT_START


def from_environment() -> list[str]:
    """The settings on the page that an environment variable decides, whatever the file holds; the variables' names."""
    return [BY_KEY[key].variable for key in ON_THE_PAGE if BY_KEY[key].variable in settings.SET_OUTSIDE]


def places() -> list[tuple[str, str]]:
    """(what, where) of all that the shop keeps."""
    database = settings.DATABASES["default"]
    postgres = connection.vendor == "postgresql"
    where = f"PostgreSQL, {database['NAME']} on {database['HOST'] or 'this computer'}" if postgres else database["NAME"]
    return [
        ("Data folder", str(data())),
        ("Database", str(where)),
        ("Photos", str(settings.MEDIA_ROOT)),
        ("Papers", str(settings.PAPERS)),
        ("Backups", str(settings.BACKUPS)),
        ("Log", settings.LOG_FILE or "the terminal or the system’s log"),
        ("Settings file", str(data() / settings_file.NAME)),
    ]
