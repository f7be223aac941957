import sys
from argparse import ArgumentParser
from typing import Any

from regrind.office.mail.bounces import MOST_BYTES, note_report
from regrind.office.mail.reminding import queue_reminders
from regrind.office.mail.sending import send_waiting
from regrind.shop.events import Conflict
from regrind.shop.management.base import ShopCommand


class Command(ShopCommand):
    help = (
        "Queue the reminders that are due, and send the outbox. `serve` runs it every minute; elsewhere a timer does."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--bounce", action="store_true", help="read one delivery report from the standard input")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["bounce"]:
            self.stdout.write(self.note(sys.stdin.buffer.read(MOST_BYTES)))
            return
        queue_reminders()
        sent = send_waiting()
        if sent:
            self.stdout.write(f"{sent} sent")

    def note(self, report: bytes) -> str:
        """Whatever it reads, it ends well: a mail server would send its report once more."""
        try:
            mail = note_report(report)
        except Conflict as conflict:
            return str(conflict)
        return f"{mail} {mail.words}" if mail else "no report of a mail from here that came back; nothing is changed"
