"""Work out the clean-up of tools from JSON, without the web part and without a database."""

import json
import sys
from argparse import ArgumentParser
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from regrind.geometry.errors import Refused
from regrind.geometry.json_cli import answer_cases


class Command(BaseCommand):
    """`python manage.py plan CASE.json…`: one JSON object per case on standard output, refusals on the other."""

    help = "Print the plan for each case as one JSON object per line; exit status 2 if a case was refused."
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("cases", nargs="+", metavar="CASE.json", help="JSON or JSON Lines; - for standard input")

    def handle(self, *args: Any, cases: Sequence[str], **options: Any) -> None:
        refused = [self.answer(name) for name in cases]
        if any(refused):
            sys.exit(2)

    def answer(self, name: str) -> bool:
        """Print what became of every case in the file `name`; true if one was refused."""
        try:
            raw = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
        except (OSError, ValueError) as fault:
            self.refuse(name, 1, Refused("case", f"cannot be read: {getattr(fault, 'strerror', None) or fault}"))
            return True
        refused = False
        for result in answer_cases(raw):
            if result.refused:
                refused = True
                self.refuse(name, result.line, result.refused)
            else:
                self.stdout.write(json.dumps(result.answer, allow_nan=False))
        return refused

    def refuse(self, name: str, line: int, fault: Refused) -> None:
        """One line on standard error, the first fault first."""
        more = "".join(f"; {other.field}: {other.message}" for other in fault.others)
        self.stderr.write(f"{name}:{line}: {fault.field}: {fault.message}{more}")
