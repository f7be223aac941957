"""What must hold among the fields of an inspection; each fault stands beside its field."""

from __future__ import annotations

from collections.abc import Sequence
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from regrind.geometry.errors import Refused

from ..kinds.kind import KindPlan
from ..kinds.registry import kind_of
from ..readings import end_relief_of_drop, relief_of_drop
from . import damage_map, tooth_rows

MOST_RELIEF_CDEG = 4_500

if TYPE_CHECKING:
    from .forms import InspectForm


def take_deepest(form: InspectForm, data: dict[str, Any]) -> None:
    """The deepest damage that was left empty is that of the marks, where each has its depth."""
    empty = not any(form.typed.get(name) for name in ("damage_depth", "reach"))
    if not empty or data.get("damage") != "depth" or "damage_depth" not in form.fields or "reach" not in form.fields:
        return
    rows = [n for n in form.mark_numbers if data.get(f"mark_{n}_tooth")]
    depths, ends = ([data.get(f"mark_{n}_{name}") for n in rows] for name in ("depth", "to"))
    if rows and None not in depths + ends:
        data["damage_depth"], data["reach"] = (max(some, key=attrgetter("nm")) for some in (depths, ends))


def check_needed(form: InspectForm, data: dict[str, Any]) -> None:
    """Depth and reach where damage is measured, none where there is no damage."""
    depth, damage = data.get("damage_depth"), data.get("damage")
    planner = kind_of(form.line.family).planner
    if planner:
        _check_read(form, data, planner)
        return
    if form.face_only:
        _check_back(form, data)
        return
    if damage == "depth" and "damage_depth" not in form.errors:
        if not depth:
            form.add_error("damage_depth", "Write how deep it is, or choose corners only or no damage.")
        elif depth.nm == 0:
            form.add_error("damage_depth", "Read as no depth at all. Write a depth above 0, or choose no damage.")
    if damage in ("depth", "corners") and not data.get("reach") and "reach" not in form.errors:
        form.add_error("reach", "Write how far back from the end the damage reaches.")
    if damage == "nothing" and (depth or any(data.get(f"mark_{n}_to") for n in form.mark_numbers)):
        form.add_error("damage", "A depth or a mark is written, yet no damage is chosen. Choose a depth.")


def _check_read(form: InspectForm, data: dict[str, Any], planner: KindPlan) -> None:
    """Where it is worn, one of the readings that the kind asks for; none where it is not."""
    read = [name for name in planner.asked if data.get(name) and data[name].nm]
    read += ["teeth"] if tooth_rows.has_damage(form, data) else []
    readings = [name for name in kind_of(form.line.family).readings if name in planner.asked]
    labels = " or ".join(str(form.fields[name].label).lower() for name in readings)
    if data.get("damage") == "depth" and not read and not set(planner.asked) & set(form.errors):
        form.add_error(planner.asked[0], f"Write {labels}, above 0, or choose no damage.")
    if data.get("damage") == "nothing" and read:
        form.add_error("damage", "Damage is written, yet no damage is chosen. Choose worn or chipped.")


def _check_back(form: InspectForm, data: dict[str, Any]) -> None:
    """On a tool that is ground on its face: how far back from the edge it is worn, or from the end corners broke."""
    back, damage = data.get("back"), data.get("damage")
    if damage == "depth" and not (back and back.nm) and "back" not in form.errors:
        form.add_error("back", "Write how far back from the edge the damage reaches, above 0, or choose no damage.")
    if damage == "corners" and not data.get("reach") and "reach" not in form.errors:
        form.add_error("reach", "Write how far back from the end the damage reaches.")
    if damage == "nothing" and back and back.nm:
        form.add_error("damage", "Damage back from the edge is written, yet no damage is chosen. Choose worn.")


def check_tooth_readings(form: InspectForm, data: dict[str, Any]) -> None:
    """Every tooth or none, round the sides and at the end; the highest and the longest read 0."""
    if _check_every_tooth(form, data, form.tooth_names, "highest") and data.get("tir"):
        form.add_error("tir", "Write each tooth's reading or the total reading, not both.")
    _check_every_tooth(form, data, form.end_tooth_names, "longest")


def _check_every_tooth(form: InspectForm, data: dict[str, Any], names: Sequence[str], first: str) -> bool:
    """Whether any tooth was read. first: what the tooth is called that reads 0."""
    readings = [data.get(name) for name in names]
    if not any(reading is not None for reading in readings):
        return False
    for name, reading in zip(names, readings, strict=True):
        if reading is None and name not in form.errors:
            form.add_error(name, f"Read every tooth, or none: the {first} is 0.")
    if all(reading is not None and reading.nm != 0 for reading in readings):
        form.add_error(names[0], f"The {first} tooth reads 0, the others below it.")
    return True


def check_marks(form: InspectForm, data: dict[str, Any]) -> None:
    """Each mark is whole; where wear lands are read, how they are."""
    for n in form.mark_numbers:
        values = {name: data.get(f"mark_{n}_{name}") for name in damage_map.ROW}
        if any(values.values()):
            _check_mark(form, n, values)
    lands = [n for n in form.mark_numbers if data.get(f"mark_{n}_wear_land")]
    if lands and not data.get("wear_land_way") and "wear_land_way" not in form.errors:
        form.add_error("wear_land_way", "A wear land is written. Choose how it was read; the plan needs it.")


def _check_mark(form: InspectForm, n: int, values: dict[str, Any]) -> None:
    for name in ("tooth", "to"):
        if values[name] is None and f"mark_{n}_{name}" not in form.errors:
            form.add_error(f"mark_{n}_{name}", "Required for a mark.")
    if form.face_only and values["wear_land"] is None:
        form.add_error(f"mark_{n}_wear_land", "Required for a mark: the face is ground by the width of the wear.")
    elif (values["depth"] is None) == (values["wear_land"] is None) and f"mark_{n}_depth" not in form.errors:
        form.add_error(f"mark_{n}_depth", "Write the depth or the wear land, one of the two.")
    start, end = values["from"], values["to"]
    if start and end and end.nm < start.nm:
        form.add_error(f"mark_{n}_to", "The mark ends before it begins: both count from the end back.")


def read_relief(form: InspectForm, data: dict[str, Any]) -> None:
    """A drop gives the primary relief, unless that was typed as well."""
    drop, over, way = data.get("drop"), data.get("drop_over"), data.get("drop_way") or ""
    if not drop:
        return
    if not over:
        form.add_error("drop_over", "A drop means nothing without the distance it was taken over.")
    elif data.get("diameter") and data.get("primary") is None:
        try:
            form.relief_cdeg = relief_of_drop(drop, over, way, data["diameter"])
        except Refused as refused:
            form.add_error("drop", f"That drop and distance fit no relief: {refused.message}.")


def read_end_relief(form: InspectForm, data: dict[str, Any]) -> None:
    """A drop taken straight across an end tooth gives the end relief, unless that was typed as well."""
    drop, over = data.get("end_drop"), data.get("end_drop_over")
    if drop and not over and "end_drop_over" not in form.errors:
        form.add_error("end_drop_over", "A drop means nothing without the distance it was taken over.")
    if not (drop and over) or data.get("end_primary") is not None:
        return
    form.end_relief_cdeg = end_relief_of_drop(drop, over)
    if form.end_relief_cdeg > MOST_RELIEF_CDEG:
        degrees = f"{form.end_relief_cdeg / 100:.1f}°"
        form.add_error("end_drop", f"That comes to {degrees}, and an end relief is at most 45°. Read again.")


def check_end_wear(form: InspectForm, data: dict[str, Any]) -> None:
    """A wear land on the end tells its depth only with the end's relief and rake; a depth stands by itself."""
    if not data.get("end_wear_land"):
        return
    if data.get("end_depth"):
        form.add_error("end_wear_land", "Write the depth or the wear land of the end, one of the two.")
    if data.get("end_primary") is None and form.end_relief_cdeg is None and "end_primary" not in form.errors:
        form.add_error(
            "end_primary", "Needed for the wear land of the end, from 0° to 45°; or write its depth instead."
        )
    if data.get("end_rake") is None and "end_rake" not in form.errors:
        form.add_error("end_rake", "Needed for the wear land of the end, from -30° to 40°; or write its depth instead.")
