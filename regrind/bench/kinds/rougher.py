"""Roughing end mills: form-relieved, so they are ground on the flute faces alone, by how far back the wear reaches."""

from collections.abc import Collection
from dataclasses import replace

from regrind.geometry.end_defaults import find_face_defaults
from regrind.geometry.inputs import Mark, Tool, Way
from regrind.record.models import Family

from .kind import BenchKind, Known

KIND_OF_TOOL = "roughing end mill"


def fit_tool(tool: Tool, known: Known) -> Tool:
    """Relieved in a spiral; rake and relief that nobody read are a maker's for such tools, and said to be assumed."""
    fitted = replace(
        tool,
        kind=KIND_OF_TOOL,
        relief_form="spiral",
        tooth_width_nm=known.read_nm("tooth_width"),
        face_arc_radius_nm=None,
    )
    usual = {default.field: default.value for default in find_face_defaults(fitted)}
    return replace(
        fitted,
        rake_deg=usual.get("rake_deg", fitted.rake_deg),
        primary_relief_deg=usual.get("primary_relief_deg", fitted.primary_relief_deg),
    )


def say_assumed(tool: Tool) -> list[str]:
    """What `fit_tool` takes from the table, in words. tool: before it was fitted."""
    return [
        f"{NAMES[default.field]} {default.value:g}° ± {2 * default.standard_uncertainty:g}°, {default.source}"
        for default in find_face_defaults(replace(tool, kind=KIND_OF_TOOL))
    ]


def list_supplied(family: Family, read: Collection[str]) -> tuple[str, ...]:
    """The fields that `fit_tool` takes from the table. read: the quantities that were read on the tool."""
    known = {
        "rake_deg": family.rake_cdeg is not None or "rake" in read,
        "primary_relief_deg": family.primary_relief_cdeg is not None or not {"primary", "drop"}.isdisjoint(read),
    }
    return tuple(field for field, is_known in known.items() if not is_known)


NAMES = {"rake_deg": "radial rake", "primary_relief_deg": "primary relief"}


def face_alone(tool: Tool, known: Known) -> tuple[Way, ...]:
    return ("face",)


def find_lacks(known: Known) -> tuple[str, ...]:
    """Damage on a rougher is read back from the edge: a depth says nothing of what the face loses."""
    worn = known.inspection.damage == "depth"
    return ("how far back from the edge the damage reaches",) if worn and not known.read_nm("back") else ()


def spread_damage(tool: Tool, known: Known) -> tuple[Mark, ...]:
    """The damage on every tooth, as far back from the edge as it was read, along the flute unless a reach was read."""
    back, reach = known.read_nm("back"), known.inspection.reach_nm
    if not back:
        return ()
    to = min(reach or tool.flute_length_nm, tool.flute_length_nm)
    return tuple(Mark("", tooth, 0, to, None, None, "wear", back_nm=back) for tooth in range(1, tool.teeth + 1))


KIND = BenchKind(
    fit=fit_tool,
    lacks=find_lacks,
    ways=face_alone,
    spread=spread_damage,
    assumed=say_assumed,
    supplied=list_supplied,
    readings=("back", "tooth_width"),
    unasked=("damage_depth", "tir", "secondary", "land"),
    damages=(("depth", "worn or chipped"), ("corners", "corners only"), ("nothing", "no damage")),
    labels={"reach": "How far along the flute", "damage": "Damage on the edges"},
    hints={
        "back": "From the edge along the flank, in the cutting direction, where it is widest.",
        "reach": "From the end; left empty, all of the flute.",
        "tooth_width": "In the cutting direction. Left empty, what is left of it is not judged.",
    },
    face_only=True,
)
