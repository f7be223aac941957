"""The form of an inspection: its fields, and what must hold among them."""

from typing import Any

from ..gauge_fields import refuse_method
from . import checks
from .fields import InspectFields


class InspectForm(InspectFields):
    """An inspection of some of a line's pieces, checked field by field and as a whole."""

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        checks.check_needed(self, data)
        if self.computed:
            refuse_method(self, data.get("method"), data.get("teeth"), self.line.family.unequal_index)
            checks.check_readings(self, data)
            checks.check_marks(self, data)
            checks.read_relief(self, data)
            if not self.errors:
                checks.check_possible(self, data)
        checks.check_overall(self, data)
        checks.guard_slips(self, data)
        return data
