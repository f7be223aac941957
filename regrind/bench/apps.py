from django.apps import AppConfig


class BenchConfig(AppConfig):
    name = "regrind.bench"

    def ready(self) -> None:
        from regrind.record.rollups import count_with

        from .rollup_counters import count_bench

        count_with(count_bench)
