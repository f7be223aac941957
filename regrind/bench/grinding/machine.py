"""What a setup card needs of the shop's settings, and what it costs to gash an end again."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from django.utils import timezone

from regrind.geometry.units import NM_PER_MM, Unit
from regrind.record.rates import SHOP, read_rates
from regrind.shop.models import ShopSettings

from ..planning.more_work import GashWork, price_gash


@dataclass(frozen=True)
class Machine:
    """What a card needs of the shop's settings: the stylus' distance along the axis, and what a dial moves by."""

    distance_nm: int
    step_nm: Mapping[Unit, int]
    shop: ShopSettings = field(default_factory=ShopSettings)

    @cached_property
    def hourly_minor(self) -> int | None:
        """The shop's dated hourly rate of today, read once for all cards; None where there is none."""
        return read_rates(wide=False).find_exact(SHOP, "hourly", timezone.localdate())

    def price_gash(self, teeth: int) -> GashWork:
        return price_gash(self.shop, teeth, self.hourly_minor)

    @property
    def distance_mm(self) -> float:
        return self.distance_nm / NM_PER_MM


def machine_of(shop: ShopSettings, distance_nm: int | None = None) -> Machine:
    """The shop's machine. distance_nm: where the stylus stands at another distance than usual."""
    steps: dict[Unit, int] = {"in": shop.dial_step_in_nm, "mm": shop.dial_step_mm_nm}
    return Machine(shop.stylus_distance_nm if distance_nm is None else distance_nm, steps, shop)
