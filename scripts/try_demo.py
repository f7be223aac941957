"""Start the demo as a newcomer would, in a folder of its own, fetch its first page, and stop it.

python -m scripts.try_demo
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request

from scripts.environment import ROOT

PATIENCE_S = 300


def fetch(address: str) -> str:
    """What is at the address; urllib raises for any answer from 400 up."""
    with urllib.request.urlopen(address, timeout=30) as answer:
        return str(answer.read().decode(errors="replace"))


def find_faults(address: str) -> list[str]:
    """What is wrong with the first page and with the files it names."""
    page = fetch(address)
    faults = [] if "<form" in page else ["the first page has no form to sign in with"]
    files = re.findall(r'(?:href|src)="(/static/[^"]+)"', page)
    if not files:
        faults.append("the first page names no static file")
    for name in files:
        fetch(address.rstrip("/") + name)
    return faults


def start_demo(folder: str) -> subprocess.Popen[str]:
    environment = os.environ | {"REGRIND_DATA": folder, "PORT": ""}
    return subprocess.Popen(
        [sys.executable, "start.py", "demo"], cwd=ROOT, env=environment, text=True, stdout=subprocess.PIPE
    )


def await_address(demo: subprocess.Popen[str]) -> str | None:
    """The address that the demo prints, or None if it ends without one."""
    for line in demo.stdout or ():
        print(line, end="", flush=True)
        match = re.search(r"http://127\.0\.0\.1:\d+/", line)
        if match:
            return match.group()
    return None


def main() -> int:
    begun = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="regrind-demo-", ignore_cleanup_errors=True) as folder:
        demo = start_demo(folder)
        clock = threading.Timer(PATIENCE_S, demo.terminate)
        clock.start()
        try:
            address = await_address(demo)
            faults = find_faults(address) if address else ["the demo did not come up"]
        finally:
            clock.cancel()
            demo.terminate()
            demo.wait(30)
    print(*faults or [f"the demo answered, and stopped again, in {time.monotonic() - begun:.1f} s"], sep="\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
