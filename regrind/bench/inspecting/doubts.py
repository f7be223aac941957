"""Readings that can hardly be right: asked about beside the field before anything is stored."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from regrind.geometry.errors import Refused
from regrind.geometry.snapshot import take_snapshot
from regrind.geometry.units import show_with_unit
from regrind.shop.owner.settings import shop_settings

from ..models import Inspection
from ..planning.allowances import usual_of_shop
from ..planning.case import build_case
from ..planning.words import say_fault
from ..plausible_ranges import MARK_SHARES, SHARES, find_plausible, find_plausible_overall, recent_depths
from ..readings import list_entries, make_reading

if TYPE_CHECKING:
    from .forms import InspectForm


def check_overall(form: InspectForm, data: dict[str, Any]) -> None:
    """A flute is never longer than its tool; a length that is not usual of a tool so long when new is asked about."""
    flute, overall = data.get("flute_length"), data.get("overall")
    if flute and overall and overall.nm <= flute.nm:
        form.add_error("overall", f"{overall.text} is no longer than the flute, {flute.text}. Both count from the end.")
    new = form.tool.overall_nm
    low, high = find_plausible_overall(new or 0)
    if not (overall and new) or low <= overall.nm <= high:
        return
    if data.get("sure"):
        form.confirmed.append(str(form.fields["overall"].label))
    else:
        unit = form.line.batch.customer.unit
        form.ask_sure(
            "overall",
            f"{show_with_unit(overall.nm, unit)} for a tool that is {show_with_unit(new, unit)} long when new?",
        )


def guard_slips(form: InspectForm, data: dict[str, Any]) -> None:
    """A lost zero or a moved point is asked about before it is stored; what was confirmed is noted."""
    size = form.line.family.nominal_nm or (data["diameter"].nm if data.get("diameter") else 0)
    if not size:
        return
    names = [*SHARES, *(f"mark_{n}_{name}" for n in form.mark_numbers for name in MARK_SHARES)]
    typed = [name for name in names if data.get(name) and name in form.fields]
    depths = recent_depths(form.line.family) if "damage_depth" in typed else []
    for name in typed:
        low, high = find_plausible(name, size, depths, _last_diameter(form, data))
        if not low <= data[name].nm <= high:
            if data.get("sure"):
                form.confirmed.append(str(form.fields[name].label))
            else:
                form.ask_sure(name, _odd(form, name, data[name].nm, low, high))


def _last_diameter(form: InspectForm, data: dict[str, Any]) -> int | None:
    """The diameter that a followed tool was returned at last time, where it alone is inspected."""
    pieces = [form.by_id[key] for key in data.get("pieces") or []]
    tool = pieces[0].tool if len(pieces) == 1 else None
    return tool.last_diameter_nm if tool else None


def _odd(form: InspectForm, name: str, nm: int, low: int, high: int) -> str:
    unit = form.line.batch.customer.unit
    value, nominal = show_with_unit(nm, unit), form.line.family.nominal_nm
    if name == "diameter" and nominal:
        return f"Read as {value}; its nominal size is {show_with_unit(nominal, unit)}."
    span = f"from {show_with_unit(low, unit)} " if low else "up "
    return f"Read as {value}; usual here is {span}to {show_with_unit(high, unit)}."


def check_deeper_marks(form: InspectForm, data: dict[str, Any]) -> None:
    """A mark that is deeper than the deepest damage is asked about."""
    deepest, unit = data.get("damage_depth"), form.line.batch.customer.unit
    for n in form.mark_numbers:
        depth = data.get(f"mark_{n}_depth")
        if deepest and depth and depth.nm > deepest.nm and not data.get("sure"):
            most = show_with_unit(deepest.nm, unit)
            form.ask_sure(f"mark_{n}_depth", f"Deeper than the deepest damage above, {most}. Write the deepest there.")


def check_plan(form: InspectForm, data: dict[str, Any]) -> None:
    """What the plan would ask later is asked now, while the tool is still in the hand, each beside its field.

    Where no mark tells of the deepest damage its tooth is asked for; what the plan cannot take may be confirmed.
    """
    built = build_case(form.line, _as_row(form, data), usual_of_shop(shop_settings()))
    form.unmarked = built.unmarked
    if built.unmarked and not data.get("deepest_tooth"):
        form.add_error("deepest_tooth", f"{_deepest(form, data)} No mark shows it. Choose its tooth.")
    if data.get("sure"):
        return
    try:
        if built.case:
            take_snapshot(built.case)
    except Refused as refused:
        faults = [(built.fields.get(fault.field), say_fault(fault)) for fault in (refused, *refused.others)]
        for name, message in dict.fromkeys(faults):
            form.ask_sure(name if name in form.fields else None, message)


def _deepest(form: InspectForm, data: dict[str, Any]) -> str:
    depth, reach = (show_with_unit(data[name].nm, form.line.batch.customer.unit) for name in ("damage_depth", "reach"))
    return f"The deepest damage is {depth} deep back to {reach}."


def _as_row(form: InspectForm, data: dict[str, Any]) -> Inspection:
    """What would be stored, its marks named by their rows in the form."""
    row = Inspection(
        diameter_source="measured",
        method=data["method"],
        damage=data["damage"],
        wear_land_way=form.way_of_wear_lands(),
        teeth=data.get("teeth"),
        relief_cdeg=form.relief_cdeg,
        end_relief_cdeg=form.end_relief_cdeg,
    )
    entries = list_entries(form.lengths(), form.angles(), form.each_tooth(), form.marks(), 0, form.each_end_tooth())
    row.readings = {reading.field: reading for reading in (make_reading(row, entry, None) for entry in entries)}
    return row
