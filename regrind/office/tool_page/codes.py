"""Codes of followed tools: 128 bits that a label can be printed with again, and that no row of the database holds.

A code is worked out from its row's random salt and the shop's signing key, which lies beside the database and not in
it. It is written in capitals and digits, so that a code on paper needs fewer and larger modules.
"""

import base64
import hashlib
import hmac
import re
import secrets
from collections.abc import Iterable

from django.conf import settings
from django.db.models import Exists, OuterRef
from django.http import HttpRequest

from regrind.paper import qr
from regrind.record.models import Piece, Tool
from regrind.shop.events import event
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people import sign_in_limit

from ..quotes import links
from ..tool_code_models import ToolCode

CODE_BYTES = 16
SCANNED = re.compile(r"https?://\S+/t/([a-z2-7]{26})", re.IGNORECASE)
ON_A_LABEL = 29  # modules: version 3, which leaves room for the words beside it


def switched_on() -> bool:
    """Whether labels carry codes and their pages open: the owner said so, and there is an address to open."""
    return bool(shop_settings().tool_pages and settings.PUBLIC_ADDRESS)


def code_of(row: ToolCode) -> str:
    """The code of a row as 26 signs; "" where the signing key is another one by now, so that it cannot be printed."""
    code = _code_from(row.salt)
    return code if digest_of(code) == row.digest else ""


def _code_from(salt: str) -> str:
    made = hmac.new(settings.SECRET_KEY.encode(), f"tool code {salt}".encode(), hashlib.sha256).digest()
    return base64.b32encode(made[:CODE_BYTES]).decode().rstrip("=").lower()


def digest_of(code: str) -> str:
    return hashlib.sha256(code.lower().encode()).hexdigest()


def address_of(tool: Tool) -> str:
    """What the code on a tool's label holds, in capitals; "" where it gets none: pages are switched off, the tool has
    no code that can be printed, or the shop's address is too long for a label."""
    row = newest(tool) if switched_on() else None
    code = code_of(row) if row else ""
    address = f"{settings.PUBLIC_ADDRESS}/t/{code}".upper()
    return address if code and qr.takes(address, ON_A_LABEL) else ""


def newest(tool: Tool) -> ToolCode | None:
    """The code that holds; None where the tool never had one."""
    return ToolCode.objects.filter(tool=tool).order_by("pk").last()


def make_code(*, by: Person, tool: Tool) -> ToolCode:
    """A new code; the ones before it open nothing from now on."""
    with event(by, "tool code", why=f"tool {tool.tag}") as making:
        salt = secrets.token_hex(CODE_BYTES)
        return ToolCode.objects.create(event=making, tool=tool, salt=salt, digest=digest_of(_code_from(salt)))


def give_codes(*, by: Person, pieces: Iterable[Piece]) -> None:
    """A code for each followed tool among these pieces that has none yet; nothing where pages are switched off."""
    if not switched_on():
        return
    tools = {piece.tool for piece in pieces if piece.tool}
    coded = set(ToolCode.objects.filter(tool__in=tools).values_list("tool", flat=True))
    for tool in sorted(tools, key=lambda tool: tool.pk):
        if tool.pk not in coded:
            make_code(by=by, tool=tool)


def scanned_tool(text: str) -> Tool | None:
    """The tool whose label was scanned in the shop, an older label too."""
    code = SCANNED.fullmatch(text.strip())
    row = ToolCode.objects.filter(digest=digest_of(code[1])).select_related("tool").first() if code else None
    return row.tool if row else None


def open_code(request: HttpRequest, code: str) -> Tool | None:
    """The tool of a code while its page opens; None for a wrong code, a revoked one, and where pages are switched off.

    Each costs the same single query, and counts against the limit that links to quotes have too.
    """
    if not sign_in_limit.has_tries(request, links.KEY, links.TRIES):
        return None
    newer = ToolCode.objects.filter(tool=OuterRef("tool"), pk__gt=OuterRef("pk"))
    rows = ToolCode.objects.filter(~Exists(newer), digest=digest_of(code[:64]))
    row = rows.select_related("tool__family", "tool__customer").first()
    if row is None or not switched_on():
        sign_in_limit.count_wrong(request, links.KEY)
        return None
    return row.tool
