"""Marks that several kinds share: how deep a wear land lies."""

from regrind.geometry.kinds.quantity import Quantity


def find_wear_depth(wear_land: Quantity, tan_relief: Quantity | float, tan_rake: Quantity | float) -> Quantity:
    """Depth in mm, square to the path of the edge, of a wear land of width `wear_land` along it.

    tan_relief, tan_rake: of flank and face, their product below 1.
    Source: the land as a flat cut into face and flank: VB tan a / (1 - tan a tan g); docs/kinds-notes.md.

    >>> round(find_wear_depth(Quantity(0.1016), 0.212557, 0.140541).value, 5)
    0.02226
    """
    product = tan_relief * tan_rake if isinstance(tan_relief, Quantity) else tan_rake * tan_relief
    return wear_land * tan_relief / (1 - product)
