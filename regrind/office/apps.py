from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "regrind.office"
