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

    @property
    def unit(self) -> str:
        """The unit of the tool's own size."""
        return "mm" if "mm" in self.line or "M8" in self.line else "in"
