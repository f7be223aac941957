"""Mail by itself while the server runs. Standard library only."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

from scripts.nightly import asked_again_and_again
from scripts.shop_environment import log_file, shop_settings

EVERY_S = 60.0


def sending_mail(command: Sequence[str], environment: dict[str, str], data: Path) -> AbstractContextManager[None]:
    """Run the command that sends the outbox every minute beside the block, where a mail server is set."""
    if not shop_settings(data).get("REGRIND_SMTP_HOST"):
        return nullcontext()
    beside = environment | {"REGRIND_LOG_FILE": str(log_file(data, "mail"))}
    return asked_again_and_again(command, beside, first=EVERY_S, every=EVERY_S)
