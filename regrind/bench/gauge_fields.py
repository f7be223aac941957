"""What the inspection and the final check ask of a gauge: which one it was, and whether it can measure this tool."""

import json
import math
from typing import Any

from django import forms
from django.utils import timezone

from regrind.geometry.errors import Refused
from regrind.geometry.gauging import check_method, find_vee_angle
from regrind.geometry.units import Typed, Unit, show_with_unit
from regrind.shop.fields.forms import InUse, ShopForm
from regrind.shop.models import Gauge

USUAL_BAUD = 9600
ANVIL_WITHIN_CDEG = 50  # half a degree: 128.5° and 129° are written for 128.57°


class GaugeSelect(forms.Select):
    """A list of gauges; one that sends its readings carries how, for the script that takes them."""

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option = super().create_option(name, value, *args, **kwargs)
        gauge = getattr(value, "instance", None)
        if gauge is not None and gauge.sends:
            sent = {"unit": gauge.sent_unit, "mark": gauge.sent_mark, "before": gauge.sent_before}
            by = {"serial": gauge.baud or USUAL_BAUD} if gauge.sends == "serial" else {}
            option["attrs"]["data-sends"] = json.dumps({"name": gauge.name, **sent, **by})
        return option


class GaugeChoice(InUse):
    """A gauge in use, which says where it is chosen that it does not fit the tool, or is not in calibration.

    teeth, size_nm: of the tool that is measured, None where they are not known or do not matter.
    """

    teeth: int | None = None
    size_nm: int | None = None

    def __init__(self, label: str) -> None:
        super().__init__(Gauge, label=label, widget=GaugeSelect)

    def label_from_instance(self, gauge: Gauge) -> str:
        today = timezone.localdate()
        doubts = [gauge.state(today)] if gauge.overdue(today) else []
        if self.teeth and not fits_teeth(gauge, self.teeth):
            doubts.append(f"not for {self.teeth} teeth")
        if not gauge.spans(self.size_nm):
            doubts.append("too small for this tool")
        return f"{gauge.name}: {', '.join(doubts)}" if doubts else gauge.name


def fits_teeth(gauge: Gauge, teeth: int) -> bool:
    """Whether a gauge can span so many teeth, 2 or more: a V-anvil only the odd number that its angle is for.

    A V-anvil whose angle is not recorded may fit any odd number.
    """
    if gauge.what != "v-anvil":
        return True
    if teeth < 3 or teeth % 2 == 0:
        return False
    return gauge.anvil_cdeg is None or abs(gauge.anvil_cdeg - _needed_cdeg(teeth)) <= ANVIL_WITHIN_CDEG


def _needed_cdeg(teeth: int) -> int:
    """The included angle of the V for an odd number of teeth, in hundredths of a degree."""
    return round(math.degrees(find_vee_angle(teeth)) * 100)


def refuse_span(form: ShopForm, gauge: Gauge | None, diameter: Typed | None, unit: Unit) -> None:
    """Tell beside `gauge` where the diameter is larger than it can measure."""
    if gauge is None or diameter is None or gauge.most_nm is None or gauge.spans(diameter.nm):
        return
    most, size = show_with_unit(gauge.most_nm, unit), show_with_unit(diameter.nm, unit)
    form.add_error("gauge", f"{gauge.name} measures up to {most}, and the diameter is {size}. Choose another gauge.")


def refuse_anvil(form: ShopForm, method: str | None, gauge: Gauge | None, teeth: int | None) -> None:
    """Tell beside `gauge` where a V-anvil's angle does not fit the teeth: 60° serves three, 108° five, 128.57° seven.

    A gauge whose angle is not in the register is asked about; other gauges and unknown teeth are left alone.
    """
    if method != "v-anvil" or gauge is None or gauge.what != "v-anvil" or not teeth or teeth < 3 or not teeth % 2:
        return
    if gauge.anvil_cdeg is None:
        form.add_error("gauge", f"The anvil angle of {gauge.name} is not recorded: add it on the page of gauges.")
    elif not fits_teeth(gauge, teeth):
        anvil, needed = gauge.anvil_cdeg / 100, _needed_cdeg(teeth) / 100
        form.add_error(
            "gauge",
            f"{gauge.name} has an anvil of {anvil:g}°; {teeth} teeth need {needed:g}°. "
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
