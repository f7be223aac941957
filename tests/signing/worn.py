"""One worn tool of the signing test."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Worn:
    name: str
    line: str
    readings: dict[str, str]
    decide: str
    why: str
    least_diameter: str = ""
    least_usable: str = ""
    clip: str = ""  # how wide a clip of the corner the customer takes
    hole: str = ""  # what a reamer is for, where the line does not say it
    smaller_holes: str = ""
    narrowest: str = ""  # the least width that was agreed

    @property
    def unit(self) -> str:
        """The unit of the tool's own size."""
        return "mm" if "mm" in self.line or "M8" in self.line else "in"


def chip(diameter: str, depth: str, reach: str, **more: str) -> dict[str, str]:
    """Readings of a tool whose deepest damage reaches so far back from its end."""
    return {"diameter": diameter, "damage": "depth", "damage_depth": depth, "reach": reach} | more


CORNERS = "Damage sits at the corners alone: the end is cut back past it and the diameter stays."
FLANK = "Wear along much of the flute is ground off the sides; cutting so much off the end would take the tool away."
FLOOR = "So long an end cut leaves a stub: it is the customer's tool, so he is asked."
