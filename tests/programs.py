"""Programs that some tests run and that not every machine has."""

import os
import shutil

import pytest


def may_lack(program: str) -> pytest.MarkDecorator:
    """Skip where the program is not installed; in CI run all the same, so that the lack fails."""
    lacking = not shutil.which(program) and not os.environ.get("CI")
    return pytest.mark.skipif(lacking, reason=f"no command {program}")
