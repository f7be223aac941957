"""The restore drill on PostgreSQL, in two databases of its own on the suite's server."""
import os
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest
from django.conf import settings
from psycopg.conninfo import make_conninfo

ROOT = Path(__file__).resolve().parents[2]
on_postgres = settings.DATABASES["default"]["ENGINE"].endswith("postgresql")
pytestmark = pytest.mark.skipif(not on_postgres, reason="runs in the PostgreSQL half of the suite")


@pytest.fixture
def databases(request):
    """Two empty databases, dropped afterwards: name -> DATABASE_URL."""
    where = settings.DATABASES["default"]
    admin = make_conninfo(host=where["HOST"], port=where["PORT"] or None, user=where["USER"], dbname="postgres")
    names = {name: f"drill_{name}_{os.getpid()}" for name in ("shop", "place")}
    with psycopg.connect(admin, autocommit=True) as server:
        for name in names.values():
            server.execute(f'CREATE DATABASE "{name}"')
    options = f"?host={where['HOST']}&port={where['PORT'] or 5432}"
    yield {name: f"postgres://{where['USER']}@/{database}{options}" for name, database in names.items()}
    with psycopg.connect(admin, autocommit=True) as server:
        for name in names.values():
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def manage(url: str, data: Path, *args: str, ok: bool = True) -> str:
    env = os.environ | {"DATABASE_URL": url, "REGRIND_DATA": str(data),
                        "DJANGO_SETTINGS_MODULE": "regrind.settings_test"}
    done = subprocess.run([sys.executable, "manage.py", *args], cwd=ROOT, text=True, capture_output=True, env=env,
                          check=False)
    assert (done.returncode == 0) is ok, done.stdout + done.stderr
    return done.stdout + done.stderr


def test_a_backup_restores_into_an_empty_database(databases, tmp_path):
    shop, place, backup = tmp_path / "shop", tmp_path / "place", tmp_path / "shop.tar"
    shop.mkdir()
    place.mkdir()
    manage(databases["shop"], shop, "migrate", "-v0")
    manage(databases["shop"], shop, "first_owner")
    manage(databases["shop"], shop, "backup", str(backup))
    assert "whole" in manage(databases["place"], place, "restore", str(backup))
    assert "there already" not in manage(databases["place"], place, "check_database", "--history")
    assert "has tables already" in manage(databases["place"], place, "restore", str(backup), ok=False)
