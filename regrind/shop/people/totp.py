"""One-time codes by the clock: RFC 6238, with HMAC-SHA-1, six digits and steps of 30 seconds, as phones make them."""

import base64
import hashlib
import hmac
import time
from urllib.parse import quote, urlencode

STEP_S, DIGITS = 30, 6
AROUND = 1  # steps before and after that count too: a phone's clock may be off by half a minute (RFC 6238, 5.2)


def code_of(key: bytes, step: int, digits: int = DIGITS) -> str:
    """The code of a step (RFC 4226, 5.3). key: any bytes; step: from 0 on, seconds since 1970 by STEP_S."""
    mac = hmac.new(key, step.to_bytes(8, "big"), hashlib.sha1).digest()
    offset = mac[-1] & 15
    number = int.from_bytes(mac[offset : offset + 4], "big") & 0x7FFFFFFF
    return str(number % 10**digits).zfill(digits)


def present_step() -> int:
    return int(time.time()) // STEP_S


def matching_step(key: bytes, code: str, after: int) -> int | None:
    """The step whose code this is, later than `after` and not far from now; None where there is none."""
    now = present_step()
    steps = [step for step in range(now - AROUND, now + AROUND + 1) if step > after]
    return next((step for step in steps if hmac.compare_digest(code_of(key, step), code)), None)


def text_of(key: bytes) -> str:
    """The key as a person types it into a phone."""
    return base64.b32encode(key).decode().rstrip("=")


def address_of(key: bytes, shop: str, person: str) -> str:
    """What the phone scans: the key with the shop's and the person's name."""
    values = {"secret": text_of(key), "issuer": shop, "algorithm": "SHA1", "digits": DIGITS, "period": STEP_S}
    return f"otpauth://totp/{quote(shop)}:{quote(person)}?{urlencode(values, quote_via=quote)}"
