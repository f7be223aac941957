"""start.py service: the files of three systems, the commands that are run, and what is refused."""

import os
import plistlib
import stat
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from regrind import settings_file
from scripts import launch, service, service_files
from scripts.service_files import Service
from tests.programs import may_lack

ODD = Path('/srv/the shop\'s 100% $HOME "tools"')
SHOP = Service(Path("/usr/bin/python3"), Path("/opt/regrind/start.py"), Path("/srv/shop"))
DAEMON = Service(SHOP.python, SHOP.start, SHOP.data, "shop")
needs_systemd = may_lack("systemd-analyze")


def verify(unit, tmp_path):
    """What systemd itself says against a unit."""
    path = tmp_path / "regrind.service"
    path.write_text(unit)
    done = subprocess.run(["systemd-analyze", "verify", str(path)], capture_output=True, text=True)
    return [line for line in done.stderr.splitlines() if "regrind" in line]


def real(tmp_path, user):
    """A service whose program is there, as systemd's check wants it."""
    return Service(Path(sys.executable), tmp_path / "start.py", tmp_path / "data", user)


@needs_systemd
@pytest.mark.parametrize("user", ["", "root"])
def test_systemd_takes_the_unit(tmp_path, user):
    assert verify(service_files.write_unit(real(tmp_path, user)), tmp_path) == []


@needs_systemd
def test_systemd_would_have_said_what_is_wrong(tmp_path):
    unit = service_files.write_unit(real(tmp_path, "")).replace("Restart=on-failure", "Restart=now and then")
    refused = [line for line in verify(unit, tmp_path) if "Failed to parse" in line]  # systemd 252, 257 and 262
    assert len(refused) == 1
    assert "now and then" in refused[0]


def test_the_unit_starts_with_the_machine_and_again_after_a_failure():
    unit = service_files.write_unit(DAEMON)
    for line in ("User=shop", "Restart=on-failure", "StartLimitIntervalSec=0", "WantedBy=multi-user.target"):
        assert line in unit.splitlines()
    assert 'ExecStart="/usr/bin/python3" "/opt/regrind/start.py" "serve" "--data" "/srv/shop"' in unit
    assert "WantedBy=default.target" in service_files.write_unit(SHOP)
    assert "User=" not in service_files.write_unit(SHOP)


def test_odd_names_of_folders_reach_the_program_as_they_are():
    odd = Service(SHOP.python, SHOP.start, ODD, "")
    unit = service_files.write_unit(odd)
    assert r'''"/srv/the shop's 100%% $$HOME \"tools\""''' in unit
    assert plistlib.loads(service_files.write_plist(odd))["ProgramArguments"][-2] == str(ODD)
    task = ElementTree.fromstring(service_files.write_task(odd).decode("utf-16").split("?>", 1)[1])
    arguments = task.find(f"{{{service_files.TASKS}}}Actions/*/{{{service_files.TASKS}}}Arguments")
    assert r'"/srv/the shop' in arguments.text


def test_the_agent_starts_at_once_and_again_after_a_failure():
    """launchd.plist(5): Label and ProgramArguments are needed; KeepAlive's SuccessfulExit false restarts failures."""
    values = plistlib.loads(service_files.write_plist(SHOP))
    assert values["ProgramArguments"] == [*SHOP.command, "--log"]
    assert values["RunAtLoad"] is True
    assert values["KeepAlive"] == {"SuccessfulExit": False}
    assert "UserName" not in values
    assert plistlib.loads(service_files.write_plist(DAEMON))["UserName"] == "shop"


def names_of(element):
    return [child.tag.removeprefix(f"{{{service_files.TASKS}}}") for child in element]


def test_the_task_follows_the_schema_of_its_system():
    """learn.microsoft.com, Task Scheduler Schema: taskType's parts; a trigger's Enabled, StartBoundary, EndBoundary,
    Repetition, ExecutionTimeLimit in this order, then a boot trigger's Delay; Context names the principal's id."""
    text = service_files.write_task(Service(SHOP.python, SHOP.start, SHOP.data, r"SHOP\bea")).decode("utf-16")
    assert text.startswith('<?xml version="1.0" encoding="UTF-16"?>')
    task = ElementTree.fromstring(text.split("?>", 1)[1])
    inside = {"t": service_files.TASKS}
    assert names_of(task) == ["RegistrationInfo", "Triggers", "Principals", "Settings", "Actions"]
    assert names_of(task.find("t:Triggers/t:BootTrigger", inside)) == ["Enabled", "Repetition", "Delay"]
    assert task.find("t:Actions", inside).get("Context") == task.find("t:Principals/t:Principal", inside).get("id")
    values = {
        name: task.find(f".//t:{name}", inside).text
        for name in ("UserId", "LogonType", "ExecutionTimeLimit", "MultipleInstancesPolicy", "Command", "Arguments")
    }
    assert values == {
        "UserId": r"SHOP\bea",
        "LogonType": "S4U",
        "ExecutionTimeLimit": "PT0S",
        "MultipleInstancesPolicy": "IgnoreNew",
        "Command": "/usr/bin/python3",
        "Arguments": "/opt/regrind/start.py serve --data /srv/shop --log",
    }


@pytest.fixture
def machine(tmp_path, monkeypatch):
    """A machine on which every command succeeds and is noted; a home and a data folder of its own."""
    ran = []
    for name in [*service.NOT_IN_FILE, "SUDO_USER", "XDG_CONFIG_HOME"]:
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("REGRIND_DATA", str(tmp_path / "data"))
    monkeypatch.setattr(service, "run", lambda command, **_: ran.append(" ".join(map(str, command))) or 0)
    monkeypatch.setattr(service, "is_root", lambda: False)
    monkeypatch.setattr(service, "wait_until_answers", lambda *_: True)
    monkeypatch.setattr(service.sys, "platform", "linux")
    return ran


def test_installing_and_removing_on_linux(machine, tmp_path, capfd):
    assert launch.main(["service", "install"]) == 0
    unit = tmp_path / "home" / ".config" / "systemd" / "user" / "regrind.service"
    assert f'"--data" "{tmp_path / "data"}"' in unit.read_text()
    assert machine[0].endswith("--only-prepare")  # before the service starts: the first password is shown here
    assert machine[1:] == [
        "systemctl --user daemon-reload",
        "systemctl --user enable regrind.service",
        "systemctl --user restart regrind.service",
        "loginctl enable-linger",
    ]
    assert str(tmp_path / "data") in capfd.readouterr().out
    assert launch.main(["service", "remove"]) == 0
    assert not unit.exists()
    assert "systemctl --user disable --now regrind.service" in machine
    with pytest.raises(SystemExit, match="There is no service to remove"):
        launch.main(["service", "remove"])


def test_installing_on_a_mac(machine, tmp_path, monkeypatch):
    monkeypatch.setattr(service.sys, "platform", "darwin")
    assert launch.main(["service", "install"]) == 0
    agent = tmp_path / "home" / "Library" / "LaunchAgents" / "regrind.serve.plist"
    assert plistlib.loads(agent.read_bytes())["Label"] == "regrind.serve"
    assert machine[-1] == f"launchctl bootstrap gui/{os.getuid()} {agent}"


def test_installing_on_windows(machine, monkeypatch):
    monkeypatch.setattr(service.sys, "platform", "win32")
    assert launch.main(["service", "install"]) == 0
    assert machine[-2].startswith("schtasks /Create /F /TN regrind /XML ")
    assert machine[-1] == "schtasks /Run /TN regrind"


def test_root_installs_it_for_a_user_and_never_for_root(machine, tmp_path, monkeypatch):
    monkeypatch.setattr(service, "is_root", lambda: True)
    monkeypatch.setattr(service, "place_of", lambda user: tmp_path / f"{user}.service")
    monkeypatch.setattr(service, "hand_over", lambda data, user: machine.append(f"data to {user}"))
    monkeypatch.setattr(service, "ensure", lambda level: machine.append(f"packages by root: {level}"))
    with pytest.raises(SystemExit, match="should not run as root"):
        launch.main(["service", "install"])
    assert machine == []
    monkeypatch.setenv("SUDO_USER", "bea")
    assert launch.main(["service", "install"]) == 0
    assert "User=bea" in (tmp_path / "bea.service").read_text()
    assert "data to bea" in machine
    assert any("bea -- " in command and command.endswith("--only-prepare") for command in machine)
    assert launch.main(["service", "install", "--user", "cem"]) == 0
    assert "User=cem" in (tmp_path / "cem.service").read_text()


def test_what_only_this_terminal_knows_stops_the_install(machine, tmp_path, monkeypatch):
    monkeypatch.setenv("PORT", "8123")
    with pytest.raises(SystemExit, match=r"PORT counts in this terminal.*settings\.toml"):
        launch.main(["service", "install"])
    assert machine == []
    (tmp_path / "data").mkdir()
    settings_file.write(tmp_path / "data", "port = 8123\n")
    assert launch.main(["service", "install"]) == 0


def test_a_service_that_never_answers_is_reported(machine, tmp_path, monkeypatch, capfd):
    monkeypatch.setattr(service, "wait_until_answers", lambda *_: False)
    assert launch.main(["service", "install"]) == 1
    assert "does not answer on port 8000" in capfd.readouterr().out


def test_a_machine_without_systemd_says_so(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(ValueError, match="systemctl is not on this machine"):
        service.run(["systemctl", "daemon-reload"])


def test_the_status_says_where_everything_lies(machine, tmp_path, monkeypatch, capfd):
    (tmp_path / "data").mkdir()
    settings_file.write(tmp_path / "data", 'backups = "/media/stick"\ndatabase = "postgres://shop:secret@db/shop"\n')
    monkeypatch.setattr(service, "answers", lambda port: False)
    assert launch.main(["service", "status"]) == 1
    printed = capfd.readouterr().out
    assert "service: not installed" in printed
    assert "nothing answers" in printed
    for place in (tmp_path / "data", "/media/stick", tmp_path / "data" / "logs" / "regrind.log", "settings.toml"):
        assert str(place) in printed
    assert "secret" not in printed


def test_a_folder_for_backups_that_is_missing_is_told_at_the_start(tmp_path, monkeypatch):
    for folder, words in ((tmp_path / "usb", "is missing"), (tmp_path, "")):
        monkeypatch.setenv("REGRIND_BACKUPS", str(folder))
        [line] = [line for line in service.places(tmp_path / "data") if line.startswith("backups: ")]
        assert words in line
        assert bool(words) == ("missing" in line)


def test_settings_are_written_once_and_never_over(machine, tmp_path, capfd):
    path = tmp_path / "data" / "settings.toml"
    assert launch.main(["settings"]) == 0
    assert path.read_text() == settings_file.draft()
    path.write_text("port = 8123\n")
    assert launch.main(["settings"]) == 0
    assert path.read_text() == "port = 8123\n"
    assert str(tmp_path / "data") in capfd.readouterr().out
    path.write_text("prot = 8123\n")
    with pytest.raises(SystemExit, match="no setting"):
        launch.main(["settings"])


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such modes")
def test_what_a_service_without_a_terminal_prints_goes_into_a_bounded_file(tmp_path):
    log = tmp_path / "logs" / "start.log"
    log.parent.mkdir()
    log.write_text("x" * 1_000_001)
    code = (
        "import subprocess, sys; from pathlib import Path; from scripts.start_log import write_into;"
        "write_into(Path(sys.argv[1])); print('ours', flush=True);"
        'child = \'import sys; print("theirs", flush=True); sys.exit("and its errors")\';'
        "subprocess.run([sys.executable, '-c', child])"
    )
    done = subprocess.run([sys.executable, "-c", code, str(log)], cwd=launch.ROOT, capture_output=True, text=True)
    assert (done.stdout, done.stderr) == ("", "")
    assert log.read_text().splitlines() == ["ours", "theirs", "and its errors"]
    assert stat.S_IMODE(log.stat().st_mode) == 0o600
    assert (log.parent / "start.log.1").stat().st_size == 1_000_001
