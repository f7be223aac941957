"""`start.py service install|remove|status`: the program starts with the machine, and again when it fails.

Linux with systemd: for the whole machine where root installs it, else for the user who does. macOS: launchd likewise.
Windows: a scheduled task. Standard library only.
"""

from __future__ import annotations

import getpass
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from regrind import settings_file
from scripts.environment import ROOT, ensure, say
from scripts.network import answers, wait_until_answers
from scripts.service_files import LABEL, NAME, Service, write_plist, write_task, write_unit
from scripts.shop_environment import data_folder, level_of, log_file, shop_settings

UNIT = f"{NAME}.service"
NOT_IN_FILE = {"REGRIND_SECRET", *(setting.variable for setting in settings_file.SETTINGS)}
FIRST_ANSWER_S = 120
Commands = Sequence[Sequence[str]]


def is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


def base_python() -> Path:
    """The Python that .venv is made from: .venv itself is made anew when the lock changes."""
    return Path(getattr(sys, "_base_executable", "") or sys.executable)


def user_of_service(named: str, data: Path) -> str:
    """Whose the service is: as named, whoever called sudo, or the owner of the data; ValueError where only root is."""
    if sys.platform == "win32":
        return named or f"{os.environ.get('USERDOMAIN', '.')}\\{getpass.getuser()}"
    if not is_root():
        return ""
    user = named or os.environ.get("SUDO_USER", "") or (data.owner() if data.is_dir() else "")
    if user in ("", "root"):
        raise ValueError("The program should not run as root. Name its user: start.py service install --user NAME")
    return user


def refuse_lost_variables(data: Path) -> None:
    """ValueError for a variable that counts here and that the service, which has none, would not know."""
    known = shop_settings(data)
    in_file = {settings_file.BY_KEY[key].variable for key in settings_file.read_file(data)}
    lost = sorted(name for name in NOT_IN_FILE if os.environ.get(name) and name not in in_file and known.get(name))
    if lost:
        raise ValueError(
            f"{', '.join(lost)} counts in this terminal, but a service does not get it. Write it into "
            f"{data / settings_file.NAME} (start.py settings makes that file) and unset it here."
            + (" REGRIND_SECRET belongs into the file secret of the data folder." if "REGRIND_SECRET" in lost else "")
        )


def place_of(user: str) -> Path:
    """Where the system looks for the service's file."""
    if sys.platform == "darwin":
        folder = Path("/Library/LaunchDaemons") if user else Path.home() / "Library" / "LaunchAgents"
        return folder / f"{LABEL}.plist"
    if user:
        return Path("/etc/systemd/system") / UNIT
    home = os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config"
    return Path(home) / "systemd" / "user" / UNIT


def run(command: Sequence[str], *, quiet: bool = False) -> int:
    """Run a command of the system's; ValueError where it is not there."""
    if shutil.which(command[0]) is None:
        raise ValueError(f"{command[0]} is not on this machine: start.py serve runs the program without a service.")
    out = subprocess.DEVNULL if quiet else None
    return subprocess.run(command, stdout=out, stderr=out).returncode


def run_all(commands: Commands) -> None:
    """Run commands; ValueError at the first that fails."""
    for command in commands:
        if run(command):
            advice = " Run it in a terminal opened as administrator." if sys.platform == "win32" else ""
            raise ValueError(f"`{' '.join(command)}` failed.{advice}")


def systemctl(user: str) -> list[str]:
    return ["systemctl"] if user else ["systemctl", "--user"]


def domain(user: str) -> str:
    return "system" if user else f"gui/{os.getuid()}"


def install(named_user: str) -> int:
    """Write the service's file and start it; what is there already is written anew."""
    data = data_folder()
    refuse_lost_variables(data)
    user = user_of_service(named_user, data)
    service = Service(base_python(), ROOT / "start.py", data, user)
    prepare_as(service)
    if sys.platform == "win32":
        install_task(service)
    elif sys.platform == "darwin":
        install_agent(service)
    else:
        install_unit(service)
    return report_start(data)


def prepare_as(service: Service) -> None:
    """Bring the database up to date once as the service's user, in this terminal: the first password is shown here."""
    if service.user and is_root():
        if ROOT.owner() != service.user:  # it could not make .venv itself
            os.umask(0o022)
            ensure(level_of(shop_settings(service.data)))
        hand_over(service.data, service.user)
        sudo = ["runuser", "-u", service.user, "--"] if shutil.which("runuser") else ["sudo", "-u", service.user]
        run_all([[*sudo, *service.command, "--only-prepare"]])
    else:
        run_all([[*service.command, "--only-prepare"]])


def hand_over(data: Path, user: str) -> None:
    """Make the data folder the user's where it is new; ValueError where it is somebody else's."""
    if not data.is_dir():
        data.mkdir(mode=0o700, parents=True)
        shutil.chown(data, user)
    if data.owner() != user:
        raise ValueError(f"{data} belongs to {data.owner()}, not to {user}. Give it over: chown -R {user} {data}")


def install_unit(service: Service) -> None:
    place = place_of(service.user)
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(write_unit(service), encoding="utf-8")
    say(f"written: {place}")
    control = systemctl(service.user)
    run_all([[*control, "daemon-reload"], [*control, "enable", UNIT], [*control, "restart", UNIT]])
    if not service.user and run(["loginctl", "enable-linger"]):
        say("It starts when you sign in. To start it with the machine: sudo loginctl enable-linger", getpass.getuser())


def install_agent(service: Service) -> None:
    place = place_of(service.user)
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(write_plist(service))
    say(f"written: {place}")
    run(["launchctl", "bootout", f"{domain(service.user)}/{LABEL}"], quiet=True)
    run_all([["launchctl", "bootstrap", domain(service.user), str(place)]])
    if not service.user:
        say("It starts when you sign in. To start it with the machine: sudo python3 start.py service install")


def install_task(service: Service) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"{NAME}.xml"
        file.write_bytes(write_task(service))
        run_all([["schtasks", "/Create", "/F", "/TN", NAME, "/XML", str(file)], ["schtasks", "/Run", "/TN", NAME]])


def port_of(data: Path) -> int:
    return int(shop_settings(data).get("PORT") or 8000)


def report_start(data: Path) -> int:
    port = port_of(data)
    if not wait_until_answers(port, lambda: True, FIRST_ANSWER_S):
        say(f"It does not answer on port {port} yet. Look into {log_file(data)}, and ask: start.py service status")
        return 1
    say(f"running on port {port}; it starts with the machine. The shop's data: {data}")
    return 0


def remove() -> int:
    """Stop the service and take its file away; the shop's data stay."""
    user = "root" if is_root() else ""
    if sys.platform == "win32":
        run(["schtasks", "/End", "/TN", NAME], quiet=True)
        run_all([["schtasks", "/Delete", "/F", "/TN", NAME]])
    elif not place_of(user).exists():
        raise ValueError(f"There is no service to remove: {place_of(user)} does not exist.")
    elif sys.platform == "darwin":
        run(["launchctl", "bootout", f"{domain(user)}/{LABEL}"], quiet=True)
        place_of(user).unlink()
    else:
        run_all([[*systemctl(user), "disable", "--now", UNIT]])
        place_of(user).unlink()
        run_all([[*systemctl(user), "daemon-reload"]])
    say(f"The service is removed. The shop's data stay in {data_folder()}.")
    return 0


def state() -> str:
    """The service's state in the system's own words; "" where it is not installed."""
    if sys.platform == "win32":
        return "installed" if not run(["schtasks", "/Query", "/TN", NAME], quiet=True) else ""
    users = [user for user in ("root", "") if place_of(user).exists()]
    if not users:
        return ""
    user, place = users[0], place_of(users[0])
    if sys.platform == "darwin":
        loaded = not run(["launchctl", "print", f"{domain(user)}/{LABEL}"], quiet=True)
        return f"{'loaded' if loaded else 'not loaded'} ({place})"
    done = subprocess.run([*systemctl(user), "is-active", UNIT], capture_output=True, text=True)
    return f"{done.stdout.strip() or 'unknown'} ({place})"


def status() -> int:
    """Say what the service does and where everything lies; 1 where it is not installed or does not answer."""
    data = data_folder()
    word, port = state(), port_of(data)
    answering = answers(port)
    say("service:", word or "not installed")
    say(f"port {port}:", "the program answers" if answering else "nothing answers")
    for line in places(data):
        say(line)
    return 0 if word and answering else 1


def places(data: Path) -> list[str]:
    """Where the shop's things lie, in words."""
    known = shop_settings(data)
    named = known.get("REGRIND_BACKUPS", "")
    missing = bool(named) and not Path(named).is_dir()
    return [
        f"data: {data}",
        f"database: {'the one of the settings' if known.get('DATABASE_URL') else data / 'db.sqlite3'}",
        f"backups: {named or data / 'backups'}"
        + (" is missing: no backup is made until its disk is plugged in" if missing else ""),
        f"log: {log_file(data)}",
        f"settings: {data / settings_file.NAME}{'' if (data / settings_file.NAME).exists() else ' (not there yet)'}",
    ]
