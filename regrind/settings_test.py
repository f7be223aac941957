"""Settings of the test suite: the shipped ones, with a fixed secret, cheap passwords and plain static files."""

import os
import tempfile
from pathlib import Path

os.environ.setdefault("REGRIND_SECRET", "only-for-the-tests-" + "x" * 50)
os.environ.setdefault("REGRIND_DATA", tempfile.mkdtemp(prefix="regrind-test-"))

from .settings import *  # noqa: F403
from .settings import DATA, DATABASES, STORAGES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
DEV_PAGES = True
MEDIA_ROOT = Path(DATA) / "photos"
if "sqlite3" in DATABASES["default"]["ENGINE"]:
    # A file as in the shop, not one memory that all threads share: there a save that meets another one fails with
    # "table is locked" at once instead of waiting for its turn.
    DATABASES["default"]["TEST"] = {"NAME": str(Path(DATA) / "test.sqlite3")}
