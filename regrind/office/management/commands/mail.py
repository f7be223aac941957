from typing import Any

from django.core.management.base import BaseCommand

from regrind.office.mail.sending import send_waiting


class Command(BaseCommand):
    help = "Send the mails that wait in the outbox. `serve` runs it every minute; elsewhere a timer does."

    def handle(self, *args: Any, **options: Any) -> None:
        sent = send_waiting()
        if sent:
            self.stdout.write(f"{sent} sent")
