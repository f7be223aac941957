"""The file by which each system starts the program with the machine, and again when it fails.

systemd: systemd.unit(5), systemd.service(5), systemd.exec(5). macOS: launchd.plist(5). Windows: the Task Scheduler's
schema, version 1.2 (learn.microsoft.com, Task Scheduler Schema), a trigger's elements in its order.

Standard library only.
"""

from __future__ import annotations

import plistlib
import subprocess
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

NAME = "regrind"
LABEL = "regrind.serve"
TASKS = "http://schemas.microsoft.com/windows/2004/02/mit/task"
Parts = dict[str, "str | Parts"]
AGAIN_S = 10  # seconds between a failure and the next start


@dataclass(frozen=True)
class Service:
    """python: the one that runs start.py. user: whose it is; "" where the system itself knows."""

    python: Path
    start: Path
    data: Path
    user: str = ""

    @property
    def arguments(self) -> list[str]:
        return [str(self.start), "serve", "--data", str(self.data)]

    @property
    def command(self) -> list[str]:
        return [str(self.python), *self.arguments]


def write_unit(service: Service) -> str:
    """A unit of systemd; with a user, one of the system, else one of the user who installs it."""
    user = f"User={service.user}\n" if service.user else ""
    return f"""\
[Unit]
Description=regrind, the shop's job tracker
Wants=network-online.target
After=network-online.target
StartLimitIntervalSec=0

[Service]
{user}WorkingDirectory={_percent(str(service.start.parent))}
ExecStart={" ".join(_quoted(part) for part in service.command)}
Restart=on-failure
RestartSec={AGAIN_S}
TimeoutStartSec=infinity
TimeoutStopSec=60
KillMode=mixed
UMask=0077
NoNewPrivileges=yes

[Install]
WantedBy={"multi-user.target" if service.user else "default.target"}
"""


def _percent(text: str) -> str:
    return text.replace("%", "%%")


def _quoted(text: str) -> str:
    """One word of a command: quotes, specifiers and variables taken as they are."""
    word = _percent(text.replace("\\", "\\\\").replace('"', '\\"'))
    return f'"{word.replace("$", "$$")}"'


def write_plist(service: Service) -> bytes:
    """An agent of launchd; with a user a daemon, which starts before anybody has signed in."""
    values: dict[str, object] = {
        "Label": LABEL,
        "ProgramArguments": [*service.command, "--log"],
        "WorkingDirectory": str(service.start.parent),
        "RunAtLoad": True,
        "KeepAlive": {"SuccessfulExit": False},
        "ThrottleInterval": AGAIN_S,
        "ExitTimeOut": 60,
        "Umask": 0o077,
    }
    return plistlib.dumps(values | ({"UserName": service.user} if service.user else {}))


def write_task(service: Service) -> bytes:
    """A task of Windows' Task Scheduler, in UTF-16 as schtasks reads it.

    It starts with the machine, without anybody signed in, and every five minutes where it does not run.
    """
    task = ElementTree.Element("Task", {"version": "1.2", "xmlns": TASKS})
    _add(task, "RegistrationInfo", {"Description": "regrind, the shop's job tracker"})
    boot: Parts = {"Enabled": "true", "Repetition": {"Interval": "PT5M"}, "Delay": "PT30S"}
    _add(task, "Triggers", {"BootTrigger": boot})
    principals = _add(task, "Principals", {})
    principal: Parts = {"UserId": service.user, "LogonType": "S4U", "RunLevel": "LeastPrivilege"}
    _add(principals, "Principal", principal).set("id", "Author")
    settings: Parts = {
        "MultipleInstancesPolicy": "IgnoreNew",
        "DisallowStartIfOnBatteries": "false",
        "StopIfGoingOnBatteries": "false",
        "StartWhenAvailable": "true",
        "RunOnlyIfNetworkAvailable": "false",
        "Enabled": "true",
        "ExecutionTimeLimit": "PT0S",
        "RestartOnFailure": {"Interval": "PT1M", "Count": "999"},
    }
    _add(task, "Settings", settings)
    command: Parts = {
        "Command": str(service.python),
        "Arguments": subprocess.list2cmdline([*service.arguments, "--log"]),
        "WorkingDirectory": str(service.start.parent),
    }
    _add(task, "Actions", {"Exec": command}).set("Context", "Author")
    text = ElementTree.tostring(task, encoding="unicode")
    return ('<?xml version="1.0" encoding="UTF-16"?>\n' + text).encode("utf-16")


def _add(parent: ElementTree.Element, name: str, parts: str | Parts) -> ElementTree.Element:
    element = ElementTree.SubElement(parent, name)
    if isinstance(parts, dict):
        for child, value in parts.items():
            _add(element, child, value)
    else:
        element.text = str(parts)
    return element
