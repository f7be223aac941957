"""Side-and-face cutters, saws, keyseat and T-slot cutters: periphery and sides apart; saws never on their sides."""

from dataclasses import replace
from functools import partial

from regrind.geometry.kinds.cutter_case import Cutter, read_cutter
from regrind.geometry.kinds.cutter_rim import Rim, find_side_stock, list_rims
from regrind.geometry.kinds.cutter_steps import explain_cutter
from regrind.geometry.kinds.cutter_tooth import describe_setup, describe_tooth
from regrind.geometry.kinds.kind import Checked, Kind, Option, Terms
from regrind.geometry.kinds.quantity import Quantity

_SAME = 1e-9
_LIMITS = {"diameter": None, "width": None, "gullet_depth": "gullet_depth", "reach": "neck_diameter"}


def _plan(cutter: Cutter, terms: Terms, *, sides: bool) -> list[Option]:
    rims = [rim for rim in list_rims(cutter, terms) if rim.radius_mm > _SAME and (sides or not rim.marks_left)]
    options = [_option(cutter, rim, terms) for rim in rims]
    return _prune([option for option in options if all(item.value > _SAME for item in option.checked.values())])


def _prune(options: list[Option]) -> list[Option]:
    """Falling diameter; each smaller one must leave more width. Of equal ones the first stays."""

    def size(option: Option) -> tuple[float, float]:
        return -round(option.checked["diameter"].value, 9), -round(option.checked["width"].value, 9)

    pruned: list[Option] = []
    for option in sorted(options, key=size):
        if not pruned or size(option)[1] < size(pruned[-1])[1]:
            pruned.append(option)
    return pruned


def _option(cutter: Cutter, rim: Rim, terms: Terms) -> Option:
    stock = find_side_stock(cutter, rim, terms)
    checked = _find_checked(cutter, rim, stock, terms)
    gullet, reach = checked.get("gullet_depth"), checked.get("reach")
    values = {
        "diameter_mm": checked["diameter"].value,
        "width_mm": checked["width"].value,
        "removal_radial_mm": cutter.diameter_mm / 2 - rim.radius_mm,
        "gullet_depth_mm": None if gullet is None else gullet.value,
        "reach_mm": None if reach is None else reach.value,
        **describe_tooth(cutter, rim),
        "setup": describe_setup(cutter, rim),
    }
    grind = (("periphery",) if rim.ground else ()) + tuple(stock)
    asks = ("width_not_agreed",) if stock and "width" not in terms.limits else ()
    return Option(grind, values, checked, asks)


def _find_checked(cutter: Cutter, rim: Rim, stock: dict[str, Quantity], terms: Terms) -> dict[str, Checked]:
    tooth, fall, range_only = cutter.tooth, terms.typical_mm, cutter.rests_on_range(rim.teeth)
    asks = ("measure_per_tooth",) if range_only and rim.ground else ()
    half, width = terms.read(cutter.diameter_mm, "diameter") / 2, terms.read(cutter.width_mm, "width")
    for item in stock.values():
        width -= item
    checked = {
        "diameter": Checked(tuple(radius * 2 for radius in rim.radii), 2 * fall, asks=asks),
        "width": Checked((width,)),
    }
    if tooth.gullet_mm is not None:
        gullet = terms.read(tooth.gullet_mm, "gullet_depth")
        gullets = tuple(gullet - half + radius for radius in rim.radii)
        checked["gullet_depth"] = Checked(gullets, fall, hard=not range_only, asks=asks)
    if tooth.neck_mm is not None:
        checked["reach"] = Checked(tuple(radius - tooth.neck_mm / 2 for radius in rim.radii), fall, asks=asks)
    return checked


KIND = Kind(
    names=("side-and-face cutter", "keyseat cutter", "t-slot cutter"),
    limits=_LIMITS,
    typical="stock_radial",
    read=read_cutter,
    plan=partial(_plan, sides=True),
    explain=explain_cutter,
)
# common practice: a saw is hollow ground and has no teeth on its sides
SAW = replace(KIND, names=("slitting saw",), plan=partial(_plan, sides=False))
