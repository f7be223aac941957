"""What an option asks for besides its sizes: the gash and the recess again, and what becomes of centre and coating."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from regrind.record.dimension_words import say_assumed
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line
from regrind.record.rates import SHOP, read_rates
from regrind.shop.models import ShopSettings
from regrind.shop.owner.settings import shop_settings


@dataclass(frozen=True)
class GashWork:
    """Gashing the end again: how many teeth, minutes in hundredths for all of them, and what that costs at the shop's
    hourly rate, in minor units of its currency."""

    teeth: int
    hundredths: int
    rate_minor: int
    currency: str

    @property
    def price_minor(self) -> int:
        """Rounded up to the next minor unit."""
        return -(-self.hundredths * self.rate_minor // 6_000)

    @property
    def words(self) -> str:
        """`gash 3 teeth again: 4.5 min, 7.13 USD at 95.00 an hour`"""
        minutes, price, rate = self.hundredths / 100, self.price_minor / 100, self.rate_minor / 100
        return f"gash {self.teeth} teeth again: {minutes:g} min, {price:.2f} {self.currency} at {rate:.2f} an hour"


def is_gash_passed(option: Mapping[str, Any]) -> bool:
    return "gash_again" in (*option.get("reasons", ()), *option.get("notes", ()))


def find_gash_work(option: Mapping[str, Any], teeth: int, day: Any) -> GashWork | None:
    """The work of gashing again on a day, None where the cut-back leaves enough of the gash."""
    if not is_gash_passed(option):
        return None
    shop = shop_settings()
    return price_gash(shop, teeth, read_rates(wide=False).find_exact(SHOP, "hourly", day))


def price_gash(shop: ShopSettings, teeth: int, hourly_minor: int | None) -> GashWork:
    """hourly_minor: the dated rate, None where only the one of the settings holds."""
    rate = shop.rate_minor if hourly_minor is None else hourly_minor
    return GashWork(teeth, teeth * shop.gash_hundredths, rate, shop.currency)


def say_coating(option: Mapping[str, Any], line: Line) -> str:
    """What becomes of the coating where the sides are ground; '' where there is none, or the flank is left alone."""
    coating = tool_of(line).coating
    if not coating or not option.get("sides"):
        return ""
    named = say_assumed(line, "coating") or coating
    return f"the coating comes off the flank ({named}): agree whether it is coated again"


def say_centre(option: Mapping[str, Any], centre_cutting: str) -> str:
    """What becomes of the centre where the end is cut back: '' where it is not, or nobody said.

    centre_cutting: as the inspection has it.

    Centre-cutting is kept only where the long tooth is ground past the centre again (geometry notes: end teeth).
    """
    if not option.get("end") or option.get("corner_form") == "ball":
        return ""
    if centre_cutting == "yes":
        return "centre-cutting is kept only where the long tooth is ground past the centre again"
    if centre_cutting == "no":
        again = "recess_again" in option.get("reasons", ())
        return "not centre-cutting, as before" + (": the recess is ground again" if again else "")
    return ""
