"""The program's log: one line each, in UTC, with the address, the person and the event that it belongs to.

    2026-03-01T08:15:02.417Z INFO regrind.sign_in 192.168.1.20 person 3 event - signed in by password

Without Django, since it is set up before Django is. `REGRIND_LOG_FILE` names a file, which one process alone writes:
it holds sign-ins and events too, the console warnings alone.
"""

import logging
import logging.handlers
import re
import sys
import time
from contextvars import ContextVar
from pathlib import Path
from typing import Any

MOST_BYTES, OLD_FILES = 2_000_000, 9  # 20 MB in all
LINK = re.compile(r"(/[qtT]/)[\w-]+")  # whoever reads the log opens no customer's page
LINE = "%(asctime)s.%(msecs)03dZ %(levelname)s %(name)s %(address)s person %(person)s event %(event)s %(message)s"

_address: ContextVar[str] = ContextVar("address", default="-")
_person: ContextVar[str] = ContextVar("person", default="-")
_event: ContextVar[str] = ContextVar("event", default="-")


def begin_request(address: str) -> None:
    """Log what follows in this thread as from this address, by nobody yet; until the next request begins."""
    _address.set(address or "-")
    _person.set("-")
    _event.set("-")


def set_person(key: object) -> None:
    """Log what follows in this request as of this person; None for nobody."""
    _person.set("-" if key is None else str(key))


def log_event(key: int, kind: str) -> None:
    """Log that an event was saved, and what follows in this request as of it."""
    logging.getLogger("regrind.event").info("%s", kind, extra={"event": str(key)})
    if _address.get() != "-":
        _event.set(str(key))


class AddContext(logging.Filter):
    """Give each record the address, person and event of the running request."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.address, record.person = _address.get(), _person.get()
        record.event = getattr(record, "event", _event.get())
        return True


class ShortRefusals(logging.Filter):
    """A refused request is one line: a traceback is for what went wrong in the program, not for a tap beside."""

    def filter(self, record: logging.LogRecord) -> bool:
        if record.name.startswith("django.") and record.levelno < logging.ERROR:
            record.exc_info = record.exc_text = None
        return True


class OneLine(logging.Formatter):
    """UTC, and one line a record: what somebody sent cannot look like a line of its own. Tracebacks are indented."""

    converter = staticmethod(time.gmtime)

    def __init__(self) -> None:
        super().__init__(LINE, "%Y-%m-%dT%H:%M:%S")

    def format(self, record: logging.LogRecord) -> str:
        text = LINK.sub(r"\1…", super().format(record))
        lines = text.splitlines() or [""]
        return "\n    ".join("".join(sign if sign.isprintable() else "?" for sign in line) for line in lines)


class LogFile(logging.handlers.RotatingFileHandler):
    """Where the disk is full the line is lost, which is reported once; the request that wrote it goes on."""

    reported = False

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802  # the name is the base class's
        error = sys.exc_info()[1]
        if not isinstance(error, OSError):
            super().handleError(record)
        elif not self.reported:
            self.reported = True
            sys.stderr.write(f"The log {self.baseFilename} cannot be written: {error.strerror}.\n")


def settings_of_log(level: str, file: str) -> dict[str, Any]:
    """Django's LOGGING: warnings and worse, and all that the program itself notes; `file` "" for the console alone."""
    shape = {"filters": ["context", "refusals"], "formatter": "line"}
    handlers: dict[str, Any] = {"console": shape | {"class": "logging.StreamHandler", "level": level}}
    if file:
        Path(file).parent.mkdir(mode=0o700, exist_ok=True)
        handlers["file"] = shape | {
            "class": "regrind.log.LogFile",
            "filename": file,
            "maxBytes": MOST_BYTES,
            "backupCount": OLD_FILES,
            "encoding": "utf-8",
            "delay": True,
        }
    quiet = {"handlers": [*handlers], "level": "CRITICAL", "propagate": False}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "filters": {"context": {"()": "regrind.log.AddContext"}, "refusals": {"()": "regrind.log.ShortRefusals"}},
        "formatters": {"line": {"()": "regrind.log.OneLine"}},
        "handlers": handlers,
        "loggers": {"django.security.DisallowedHost": quiet, "regrind": {"level": "INFO"}},
        "root": {"handlers": [*handlers], "level": level},
    }
