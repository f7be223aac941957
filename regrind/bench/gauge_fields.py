"""What the inspection and the final check ask of a gauge: which one it was, and whether it can measure this tool."""

from django.utils import timezone

from regrind.geometry.errors import Refused
from regrind.geometry.gauging import check_method
from regrind.shop.fields.forms import InUse, ShopForm
from regrind.shop.models import Gauge


class GaugeChoice(InUse):
    """A gauge in use; one whose calibration is not in date says so where it is chosen."""

    def __init__(self, label: str) -> None:
        super().__init__(Gauge, label=label)

    def label_from_instance(self, gauge: Gauge) -> str:
        today = timezone.localdate()
        return f"{gauge.name}: {gauge.state(today)}" if gauge.overdue(today) else gauge.name


def refuse_method(form: ShopForm, method: str | None, teeth: int | None, unequal_index: bool) -> None:
    """Tell beside `method` where that way of measuring cannot give this tool's diameter. teeth: None for unknown."""
    if not method:
        return
    try:
        check_method(method, teeth if teeth and teeth >= 2 else None, unequal_index=unequal_index)
    except Refused as refused:
        form.add_error("method", f"{refused.message[:1].upper()}{refused.message[1:]}.")
