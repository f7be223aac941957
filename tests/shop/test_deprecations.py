"""The program is loaded before a test can look at warnings, so that loading it is looked at in a process of its own."""

import subprocess
import sys

from django.conf import settings

STRICT = ("-W", "error::DeprecationWarning", "-W", "error::PendingDeprecationWarning")


def test_loading_the_program_uses_nothing_that_is_going_away():
    loaded = subprocess.run(
        [sys.executable, *STRICT, "manage.py", "check"],
        cwd=settings.BASE_DIR,
        text=True,
        capture_output=True,
        timeout=300,
    )
    assert loaded.returncode == 0, loaded.stderr
