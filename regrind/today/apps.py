from django.apps import AppConfig


class TodayConfig(AppConfig):
    name = "regrind.today"
