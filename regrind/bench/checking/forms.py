"""The rules of the final check's form: what is needed, what fits together and what may be said."""

from collections.abc import Sequence
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.units import Typed, Unit, show_with_unit
from regrind.record.models import Piece

from ..gauge_fields import refuse_method
from ..readings import Angle
from . import corner_and_coating, plausibility, relief
from .actions import Again
from .fields import EXCEPTIONS, LEFT, LENGTHS, CheckFields


class CheckForm(CheckFields):
    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        ticked = [self.by_id[key] for key in data.get("pieces") or []]
        self.exceptions = self._exceptions(data, ticked)
        self._needs(data, ticked)
        self._method_fits(data)
        self._relief(data)
        self._is_true(data, ticked)
        if data.get("passed") in ("no", "anew"):
            self._goes_back(data)
        self._ask_sure(data)
        return data

    def refuse(self, message: str) -> None:
        self.asks_sure = True
        super().refuse(message)

    def _ask_sure(self, data: dict[str, Any]) -> None:
        unit = self.line.batch.customer.unit
        relief_cdeg = self.relief.cdeg if self.relief else None
        for name, said in plausibility.find_odd(data, self.line.family, unit, relief_cdeg, self.usable_nm).items():
            if data.get("sure"):
                self.confirmed.append(str(self.fields[name].label).lower())
                continue
            self.asks_sure = True
            self.add_error(name, f"{said} If that is right, tick “it is right as typed” and save again.")

    def _exceptions(self, data: dict[str, Any], ticked: Sequence[Piece]) -> dict[int, str]:
        """Piece id -> why it goes back. A piece is named as printed, 3-7, or by its last number."""
        found: dict[int, str] = {}
        for n in range(1, EXCEPTIONS + 1):
            said, why = (data.get(f"back_{n}") or "").strip(), data.get(f"why_{n}") or ""
            if not said and not why:
                continue
            named = [p for p in ticked if said in (p.short, str(p), str(p.number))]
            if len(named) != 1:
                names = ", ".join(p.short for p in ticked[:6]) + (" …" if len(ticked) > 6 else "")
                self.add_error(f"back_{n}", f"“{said}” is not one ticked piece. Write one of {names}.")
            elif not why:
                self.add_error(f"why_{n}", "Say why, so that the grinder knows.")
            else:
                found[named[0].pk] = why
        if found and len(found) == len(ticked):
            self.add_error("passed", "All of them would go back: choose that here.")
        if ticked and ticked[0].pk in found:
            self.add_error(
                "pieces",
                f"{ticked[0].short} is read in full, so it stands for the others: send it back in "
                "a check of its own, without the others.",
            )
        return found

    def _needs(self, data: dict[str, Any], ticked: Sequence[Piece]) -> None:
        going = data.get("passed")
        needed = self.needed if going == "yes" else ("diameter",) if going == "anew" else ()
        for name in needed:
            if data.get(name) is None and name not in self.errors:
                label = str(self.fields[name].label).removesuffix(" · needed").lower()
                self.add_error(name, f"Read the {label} of the first piece.")
        if going != "yes":
            return
        for piece in self.nth:
            name = f"diameter_{piece.pk}"
            counted = piece in ticked[1:] and piece.pk not in self.exceptions
            if counted and data.get(name) is None and name not in self.errors:
                self.add_error(
                    name,
                    f"Measure {piece.short}, or untick it: the line asks for every {ordinal(self.line.check_every)}.",
                )

    def _method_fits(self, data: dict[str, Any]) -> None:
        family = self.line.family
        if family.kind_data.computed:
            refuse_method(self, data.get("method"), family.teeth, family.unequal_index)

    def _relief(self, data: dict[str, Any]) -> None:
        self.relief: relief.Relief | None = None
        drop, over, diameter = (data.get(name) for name in ("drop", "drop_over", "diameter"))
        if drop and not over and "drop_over" not in self.errors:
            self.add_error("drop_over", "A drop means nothing without the distance it was taken over.")
        if not (drop and over and diameter):
            return
        try:
            self.relief = relief.find(
                drop.nm,
                over.nm,
                data.get("drop_way") or "tangent",
                diameter.nm,
                data.get("indicator"),
                data.get("gauge"),
            )
        except Refused as refused:
            self.add_error(
                "drop" if refused.field in ("drop_mm", "digit_mm") else "drop_over",
                f"Drop and distance fit no relief: {refused.field.split('_')[0]} {refused.message}.",
            )

    def _is_true(self, data: dict[str, Any], ticked: Sequence[Piece]) -> None:
        family = self.line.family
        for piece in ticked:
            parts = self.ground.get(piece.pk, ())
            corner = corner_and_coating.wrong_corner(family, parts, data.get("corner") or "")
            coating = corner_and_coating.wrong_coating(
                family, parts, data.get("coating") or "", piece.pk in self.recoated
            )
            for name, wrong in (("corner", corner), ("coating", coating)):
                if wrong and name in self.fields and name not in self.errors:
                    self.add_error(name, f"{piece.short}: {wrong}" if len(ticked) > 1 else wrong)
        if data.get("corner") == "re-formed" and not data.get("corner_size") and "corner_size" not in self.errors:
            self.add_error("corner_size", "Say the size it was re-formed to.")

    def _goes_back(self, data: dict[str, Any]) -> None:
        if not data.get("sent_back"):
            self.add_error("sent_back", "Say why, so that the grinder knows.")
        if data.get("left_depth") and not data.get("left_reach") and "left_reach" not in self.errors:
            self.add_error("left_reach", "Say how far back from the end the damage reaches.")

    def values(self) -> dict[str, Any]:
        """The arguments of actions.check, besides pieces and revisions."""
        data = self.cleaned_data
        own = {piece.pk: data[f"diameter_{piece.pk}"] for piece in self.nth if data.get(f"diameter_{piece.pk}")}
        going = data["passed"]
        sure = f"Right as typed: {', '.join(self.confirmed)}." if self.confirmed else ""
        return {name: data.get(name) or "" for name in ("method", "corner", "coating", "witness")} | {
            "note": " ".join(filter(None, (data.get("note"), sure)))[:500],
            "gauge": data.get("gauge"),
            "indicator": data.get("indicator"),
            "done_at": data["done_at"],
            "typed": {name: data[name] for name in LENGTHS if isinstance(data.get(name), Typed)},
            "diameters": own,
            "passed": going == "yes",
            "sent_back": data["sent_back"] if going != "yes" else "",
            "relief_cdeg": self.relief.cdeg if self.relief else None,
            "drop_way": (data.get("drop_way") or "tangent") if data.get("drop") else "",
            "told": [self.relief.as_finding()] if self.relief else [],
            "exceptions": self.exceptions,
            "angles": self._angles(),
            "sure": data["sure"],
            "again": self._again() if going == "anew" else None,
        }

    def _angles(self) -> dict[str, Angle]:
        cdeg = self.cleaned_data.get("point_angle")
        return {} if cdeg is None else {"point_angle": Angle(cdeg, self.data["point_angle"].strip())}

    def _again(self) -> Again:
        data = self.cleaned_data
        typed = {column: data[name] for name, column in LEFT.items() if isinstance(data.get(name), Typed)}
        return Again("depth" if "damage_depth" in typed else "nothing", typed, data.get("indicator"))


def ordinal(n: int) -> str:
    """5 -> 5th, as one says it."""
    if n % 100 in (11, 12, 13):
        return f"{n}th"
    return f"{n}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(n % 10, 'th') }"


def as_text(nm: int | None, unit: Unit) -> str:
    return show_with_unit(nm, unit) if nm else ""
