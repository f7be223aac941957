from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "regrind.office"

    def ready(self) -> None:
        from regrind.bench.planning.prices import price_with

        from . import fixed_lines as fixed_lines  # registers what it does about lines
        from .worth import price_line_options

        price_with(price_line_options)
