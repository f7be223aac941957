"""What the inspection and the final check ask of a gauge: which one it was, and whether it can measure this tool."""

import math

from django.utils import timezone

from regrind.geometry.errors import Refused
from regrind.geometry.gauging import check_method, find_vee_angle
from regrind.shop.fields.forms import InUse, ShopForm
from regrind.shop.models import Gauge

ANVIL_WITHIN_CDEG = 50  # half a degree: 128.5° and 129° are written for 128.57°


class GaugeChoice(InUse):
    """A gauge in use; one whose calibration is not in date says so where it is chosen."""

    def __init__(self, label: str) -> None:
        super().__init__(Gauge, label=label)

    def label_from_instance(self, gauge: Gauge) -> str:
        today = timezone.localdate()
        return f"{gauge.name}: {gauge.state(today)}" if gauge.overdue(today) else gauge.name


def refuse_anvil(form: ShopForm, method: str | None, gauge: Gauge | None, teeth: int | None) -> None:
    """Tell beside `gauge` where a V-anvil's angle does not fit the teeth: 60° serves three, 108° five, 128.57° seven.

    A gauge whose angle is not in the register is asked about; other gauges and unknown teeth are left alone.
    """
    if method != "v-anvil" or gauge is None or gauge.what != "v-anvil" or not teeth or teeth < 3 or not teeth % 2:
        return
    needed_cdeg = round(math.degrees(find_vee_angle(teeth)) * 100)
    if gauge.anvil_cdeg is None:
        form.add_error("gauge", f"The anvil angle of {gauge.name} is not recorded: add it on the page of gauges.")
    elif abs(gauge.anvil_cdeg - needed_cdeg) > ANVIL_WITHIN_CDEG:
        form.add_error(
            "gauge",
            f"{gauge.name} has an anvil of {gauge.anvil_cdeg / 100:g}°; {teeth} teeth need {needed_cdeg / 100:g}°. "
            "Choose another gauge, or measure swept.",
        )


def refuse_method(form: ShopForm, method: str | None, teeth: int | None, unequal_index: bool) -> None:
    """Tell beside `method` where that way of measuring cannot give this tool's diameter. teeth: None for unknown."""
    if not method:
        return
    try:
        check_method(method, teeth if teeth and teeth >= 2 else None, unequal_index=unequal_index)
    except Refused as refused:
        form.add_error("method", f"{refused.message[:1].upper()}{refused.message[1:]}.")
