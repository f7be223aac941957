from django.apps import AppConfig


class CalculatorsConfig(AppConfig):
    name = "regrind.calculators"
