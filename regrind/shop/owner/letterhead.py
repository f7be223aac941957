"""The shop as it signs its papers."""

from io import BytesIO

from PIL import Image

from regrind.paper.values import Letterhead

from ..models import ShopSettings


def letterhead(shop: ShopSettings) -> Letterhead:
    """Name, address lines and logo, as they stand in the shop's settings."""
    lines = (*shop.address.splitlines(), *(one for one in (shop.phone, shop.mail) if one))
    return Letterhead(shop.name, lines, logo_of(shop))


def logo_of(shop: ShopSettings) -> bytes | None:
    """The logo as a PNG or JPEG: in greys unless the shop prints it in colour; None where there is none."""
    if not shop.logo or shop.logo_in_colour:
        return bytes(shop.logo) if shop.logo else None
    try:
        return _in_greys(bytes(shop.logo))
    except (OSError, ValueError):
        return bytes(shop.logo)  # damaged: the paper leaves it out


def _in_greys(logo: bytes) -> bytes:
    out = BytesIO()
    Image.open(BytesIO(logo), formats=["PNG", "JPEG"]).convert("L").save(out, "PNG")
    return out.getvalue()
