from django.apps import AppConfig


class ReceivingConfig(AppConfig):
    name = "regrind.receiving"
