"""The wheels that a form offers: those for the tool's material first, the others apart and named as such."""

from collections.abc import Iterator
from typing import Any

from regrind.shop.fields.forms import InUse, ReadOnce
from regrind.shop.models import Wheel

from .prefill import suits


class SuitableFirst(ReadOnce):
    """The wheels for the field's material, then the others as a group of their own."""

    def __iter__(self) -> Iterator[Any]:
        yield ("", self.field.empty_label)
        wheels, material = list(self.queryset), getattr(self.field, "material", "")
        yield from (self.choice(wheel) for wheel in wheels if suits(material, wheel))
        others = [self.choice(wheel) for wheel in wheels if not suits(material, wheel)]
        if others:
            yield (f"not for {material}", others)


class WheelChoice(InUse):
    """A wheel with what must be known before it turns. material: of the tool, '' where it is not known."""

    iterator = SuitableFirst
    material = ""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Wheel, **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        marked = f"marked {obj.marked_maximum_rpm} rev/min" if obj.marked_maximum_rpm else "NO MARKED MAXIMUM"
        return f"{obj.name}, {obj.get_abrasive_display()} {obj.grit}".rstrip() + f", {marked}"
