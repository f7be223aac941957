"""Which rows name files on the disk, so that a backup, a restore and a check can tell one that is gone."""
from collections.abc import Callable, Iterator
from pathlib import Path

from django.apps import apps

# model label -> where the file of a row's `sha256` lies
NAMED: dict[str, Callable[[str], Path]] = {}
AT_ONCE = 5_000         # rows read together: no cursor stays open, and a million fit


def names_files(label: str, path_of: Callable[[str], Path]) -> None:
    """Say that each row of a table names a file by its hash; called by each room's models module."""
    NAMED[label] = path_of


def missing_files() -> list[str]:
    """Each file that a row names and that is not there, in words."""
    return [f"{path.name} of {label} {pk} is missing" for label, path_of in sorted(NAMED.items())
            for pk, sha256 in _named(label) if not (path := path_of(sha256)).is_file()]


def _named(label: str) -> Iterator[tuple[int, str]]:
    rows = apps.get_model(label)._default_manager.order_by("pk").values_list("pk", "sha256")
    last = 0
    while some := list(rows.filter(pk__gt=last)[:AT_ONCE]):
        yield from some
        last = some[-1][0]
