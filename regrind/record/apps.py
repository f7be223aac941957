from django.apps import AppConfig


class RecordConfig(AppConfig):
    name = "regrind.record"

    def ready(self) -> None:
        from . import rate_changes  # noqa: F401 -- an undo of rates prices the sums again
