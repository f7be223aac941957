"""What must hold among the fields of an inspection, each fault told beside its field."""

from __future__ import annotations

import math
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.relief import Way, find_relief
from regrind.geometry.snapshot import take_snapshot
from regrind.geometry.units import show_with_unit
from regrind.shop.owner.settings import shop_settings

from ..models import Inspection
from ..planning.allowances import usual_of_shop
from ..planning.case import build_case
from ..planning.words import say_fault
from ..plausible_ranges import MARK_SHARES, SHARES, find_plausible, find_plausible_overall, recent_depths
from ..readings import list_entries, make_reading
from .fields import InspectFields


def check_needed(form: InspectFields, data: dict[str, Any]) -> None:
    depth = data.get("damage_depth")
    if data.get("damage") == "depth" and "damage_depth" not in form.errors:
        if not depth:
            form.add_error("damage_depth", "Say how deep, or choose corners only or nothing seen.")
        elif depth.nm == 0:
            form.add_error("damage_depth", "Read as no depth at all: write one above 0, or choose nothing seen.")
    if data.get("damage") in ("depth", "corners") and not data.get("reach") and "reach" not in form.errors:
        form.add_error("reach", "Say how far back from the end the damage reaches.")


def check_readings(form: InspectFields, data: dict[str, Any]) -> None:
    given = [data.get(name) for name in form.tooth_names]
    if not any(reading is not None for reading in given):
        return
    if data.get("tir"):
        form.add_error("tir", "Give each tooth's reading or the total reading, not both.")
    for name, reading in zip(form.tooth_names, given, strict=True):
        if reading is None and name not in form.errors:
            form.add_error(name, "Read every tooth, or none: the highest is 0.")
    if all(r is not None and r.nm != 0 for r in given):
        form.add_error(form.tooth_names[0], "The highest tooth reads 0, the others below it.")


def check_marks(form: InspectFields, data: dict[str, Any]) -> None:
    for n in form.mark_numbers:
        row = {name: data.get(f"mark_{n}_{name}") for name in ("tooth", "from", "to", "depth", "wear_land", "what")}
        if not any(row.values()):
            continue
        for name in ("tooth", "to"):
            if row[name] is None and f"mark_{n}_{name}" not in form.errors:
                form.add_error(f"mark_{n}_{name}", "Needed for a mark.")
        if (row["depth"] is None) == (row["wear_land"] is None) and f"mark_{n}_depth" not in form.errors:
            form.add_error(f"mark_{n}_depth", "Give the depth or the wear land, one of the two.")
        start, to = row["from"], row["to"]
        if start and to and to.nm < start.nm:
            form.add_error(f"mark_{n}_to", "The mark ends before it begins: both count from the end back.")


def check_overall(form: InspectFields, data: dict[str, Any]) -> None:
    """A flute is never longer than its tool; a length that is not usual of a tool so long when new is asked about."""
    flute, overall = data.get("flute_length"), data.get("overall")
    if flute and overall and overall.nm <= flute.nm:
        form.add_error("overall", f"{overall.text} is no longer than the flute, {flute.text}: both count from the end.")
    new = form.line.family.overall_nm
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


def read_relief(form: InspectFields, data: dict[str, Any]) -> None:
    """A drop gives the primary relief, unless that was typed as well."""
    drop, over, way = data.get("drop"), data.get("drop_over"), data.get("drop_way") or "tangent"
    if not drop:
        return
    if not over:
        form.add_error("drop_over", "A drop means nothing without the distance it was taken over.")
    elif data.get("diameter") and data.get("primary") is None:
        try:
            relief = find_relief(drop.mm, over.mm, Way(way), data["diameter"].mm / 2)
            form.relief_cdeg = round(math.degrees(relief) * 100)
        except Refused as refused:
            form.add_error("drop", f"That drop and distance fit no relief: {refused.message}.")


def guard_slips(form: InspectFields, data: dict[str, Any]) -> None:
    """A lost zero or a moved point is asked about before it is stored; what was said to be right is noted."""
    size = form.line.family.nominal_nm or (data["diameter"].nm if data.get("diameter") else 0)
    if not size:
        return
    names = [*SHARES, *(f"mark_{n}_{name}" for n in form.mark_numbers for name in MARK_SHARES)]
    typed = [name for name in names if data.get(name) and name in form.fields]
    depths = recent_depths(form.line.family) if "damage_depth" in typed else []
    for name in typed:
        low, high = find_plausible(name, size, depths, _left_with(form, data))
        if not low <= data[name].nm <= high:
            if data.get("sure"):
                form.confirmed.append(str(form.fields[name].label))
            else:
                form.ask_sure(name, _odd(form, name, data[name].nm, low, high))


def _left_with(form: InspectFields, data: dict[str, Any]) -> int | None:
    """The diameter that a followed tool left with last time, where one such tool alone is looked at."""
    pieces = [form.by_id[key] for key in data.get("pieces") or []]
    tool = pieces[0].tool if len(pieces) == 1 else None
    return tool.last_diameter_nm if tool else None


def _odd(form: InspectFields, name: str, nm: int, low: int, high: int) -> str:
    unit = form.line.batch.customer.unit
    said, nominal = f"Read as {show_with_unit(nm, unit)}", form.line.family.nominal_nm
    if name == "diameter" and nominal:
        return f"{said}; its nominal size is {show_with_unit(nominal, unit)}."
    span = f"from {show_with_unit(low, unit)} " if low else "up "
    return f"{said}; usual here is {span}to {show_with_unit(high, unit)}."


def check_possible(form: InspectFields, data: dict[str, Any]) -> None:
    """What the plan could not take is told now, beside the field, while the tool is still in the hand."""
    if data.get("sure"):
        return
    drawn = build_case(form.line, _as_row(form, data), usual_of_shop(shop_settings()))
    try:
        if drawn.case:
            take_snapshot(drawn.case)
    except Refused as refused:
        faults = [(drawn.fields.get(one.field), say_fault(one)) for one in (refused, *refused.others)]
        for name, said in dict.fromkeys(faults):
            form.ask_sure(name if name in form.fields else None, said)


def _as_row(form: InspectFields, data: dict[str, Any]) -> Inspection:
    """What would be stored, its marks named by their rows in the form."""
    row = Inspection(
        diameter_source="measured",
        method=data["method"],
        damage=data["damage"],
        teeth=data.get("teeth"),
        relief_cdeg=form.relief_cdeg,
    )
    entries = list_entries(form.lengths(), form.angles(), form.each_tooth(), form.marks())
    row.readings = {reading.field: reading for reading in (make_reading(row, entry, None) for entry in entries)}
    return row
