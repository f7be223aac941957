from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "regrind.office"

    def ready(self) -> None:
        from regrind.bench.planning.prices import price_with

        from .worth import price_line_options

        price_with(price_line_options)
