"""The rules of the final check's form: what is needed, what fits together and what may be said."""

from collections.abc import Sequence
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.units import Typed, Unit, show_with_unit
from regrind.record.models import Piece

from ..gauge_fields import refuse_anvil, refuse_method
from ..readings import Angle
from . import corner_and_coating, findings, plausibility, relief
from .actions import Again
from .fields import EXCEPTIONS, LEFT, LENGTHS, CheckFields
from .release import say_unread

SIZED = ("re-formed", "clipped")  # corners that mean nothing without a size
WAY_MATTERS = "The ways differ by 3 to 4° on a tool of 6 mm."


class CheckForm(CheckFields):
    asks_release = False

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        ticked = [self.by_id[key] for key in data.get("pieces") or []]
        self.exceptions = self._exceptions(data, ticked)
        self._needs(data, ticked)
        self._check_gauge(data)
        self._read_relief(data)
        self._check_corner_and_coating(data, ticked)
        if data.get("passed") in ("no", "anew"):
            self._goes_back(data)
        self._ask_sure(data)
        self.outside = data.get("passed") == "yes" and self._judge(data, ticked)
        return data

    def refuse(self, message: str) -> None:
        self.asks_release = True
        super().refuse(message)

    def _ask_sure(self, data: dict[str, Any]) -> None:
        """Ask about readings that look mistyped; `sure` says that they are right."""
        unit = self.line.batch.customer.unit
        relief_cdeg = self.relief.cdeg if self.relief else None
        for name, text in plausibility.find_odd(data, self.tool, unit, relief_cdeg, self.usable_nm).items():
            if data.get("sure"):
                self.confirmed.append(str(self.fields[name].label).lower())
                continue
            self.asks_sure = True
            self.add_error(name, f"{text} If that is right, tick “The value is right” and save again.")

    def _judge(self, data: dict[str, Any], ticked: Sequence[Piece]) -> bool:
        """Say beside each field what is outside its limit; a reason lets measured pieces go all the same."""
        wrong = self._list_wrong(data, ticked)
        self.asks_release = bool(wrong)
        if wrong and not data.get("released_because"):
            for name, text in wrong:
                self.add_error(name if name in self.fields else None, f"{text}.")
            self.add_error("released_because", "Say why it may go back all the same, or do not release it.")
        unread = [piece.short for piece in ticked[1:] if not self._lengths(data, piece, first=False)]
        if wrong and data.get("released_because") and unread:
            self.add_error("pieces", say_unread(unread))
        return bool(wrong)

    def _list_wrong(self, data: dict[str, Any], ticked: Sequence[Piece]) -> list[tuple[str, str]]:
        """(field, what is wrong) for each finding that stands in the way of releasing the ticked pieces."""
        gauge, indicator, unit = data.get("gauge"), data.get("indicator"), self.line.batch.customer.unit
        bounds, wrong, diameters = self.bounds, [], []
        for number, piece in enumerate(ticked):
            lengths = self._lengths(data, piece, first=not number)
            if piece.pk in self.exceptions or bounds is None:
                continue
            limits, relief = bounds.limits(piece.pk, lengths.get("diameter")), None if number else self.relief
            made = findings.list_findings(limits, lengths, relief, gauge, indicator)
            diameters += [nm for name, nm in lengths.items() if name == "diameter"]
            diameter_field = f"diameter_{piece.pk}" if number else ""
            wrong += [
                (diameter_field or findings.FIELDS[one["what"]], findings.say(one, unit))
                for one in made
                if findings.objects(one)
            ]
        spread = findings.find_spread(self.line, diameters, gauge)
        return wrong + [("diameter", findings.say(one, unit)) for one in spread if findings.objects(one)]

    def _lengths(self, data: dict[str, Any], piece: Piece, *, first: bool) -> dict[str, int]:
        """What was read on a ticked piece, in nm by name: all of it on the first, else its own diameter."""
        if first:
            return {name: data[name].nm for name in LENGTHS if isinstance(data.get(name), Typed)}
        diameter = data.get(f"diameter_{piece.pk}")
        return {"diameter": diameter.nm} if isinstance(diameter, Typed) else {}

    def _exceptions(self, data: dict[str, Any], ticked: Sequence[Piece]) -> dict[int, str]:
        """Piece id -> why it goes back. A piece is named as printed, 3-7, or by its last number."""
        reasons: dict[int, str] = {}
        for n in range(1, EXCEPTIONS + 1):
            text, why = (data.get(f"back_{n}") or "").strip(), data.get(f"why_{n}") or ""
            if not text and not why:
                continue
            named = [p for p in ticked if text in (p.short, str(p), str(p.number))]
            if len(named) != 1:
                names = ", ".join(p.short for p in ticked[:6]) + (" …" if len(ticked) > 6 else "")
                self.add_error(f"back_{n}", f"“{text}” is not one ticked piece. Write one of {names}.")
            elif not why:
                self.add_error(f"why_{n}", "Write why, so that the grinder knows.")
            else:
                reasons[named[0].pk] = why
        if reasons and len(reasons) == len(ticked):
            self.add_error("passed", "All of them would go back: choose that here.")
        if ticked and ticked[0].pk in reasons:
            self.add_error(
                "pieces",
                f"{ticked[0].short} is read in full, so it stands for the others: send it back in "
                "a check of its own, without the others.",
            )
        return reasons

    def _needs(self, data: dict[str, Any], ticked: Sequence[Piece]) -> None:
        going = data.get("passed")
        needed = self.needed if going == "yes" else ("diameter",) if going == "anew" else ()
        for name in needed:
            if data.get(name) is None and name not in self.errors:
                label = str(self.fields[name].label).removesuffix(" · required").lower()
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

    def _check_gauge(self, data: dict[str, Any]) -> None:
        if self.tool.kind_data.computed:
            refuse_method(self, data.get("method"), self.teeth, self.tool.unequal_index)
            refuse_anvil(self, data.get("method"), data.get("gauge"), self.teeth)

    def _read_relief(self, data: dict[str, Any]) -> None:
        self.relief: relief.Relief | None = None
        drop, over, way = (data.get(name) for name in ("drop", "drop_over", "drop_way"))
        if drop and not over and "drop_over" not in self.errors:
            self.add_error("drop_over", "A drop means nothing without the distance it was taken over.")
        if drop and not way and "drop_way" not in self.errors:
            self.add_error("drop_way", f"Choose how the distance was taken. {WAY_MATTERS}")
        diameter = data.get("diameter")
        if not (drop and over and way and diameter):
            return
        try:
            self.relief = relief.find(drop.nm, over.nm, way, diameter.nm, data.get("indicator"), data.get("gauge"))
        except Refused as refused:
            self.add_error(
                "drop" if refused.field in ("drop_mm", "digit_mm") else "drop_over",
                f"Drop and distance fit no relief: {refused.field.split('_')[0]} {refused.message}.",
            )

    def _check_corner_and_coating(self, data: dict[str, Any], ticked: Sequence[Piece]) -> None:
        for piece in ticked:
            parts = self.ground.get(piece.pk, ())
            corner = corner_and_coating.wrong_corner(self.tool, parts, data.get("corner") or "")
            coating = corner_and_coating.wrong_coating(
                self.tool, parts, data.get("coating") or "", piece.pk in self.recoated
            )
            for name, wrong in (("corner", corner), ("coating", coating)):
                if wrong and name in self.fields and name not in self.errors:
                    self.add_error(name, f"{piece.short}: {wrong}" if len(ticked) > 1 else wrong)
        if data.get("corner") in SIZED and not data.get("corner_size") and "corner_size" not in self.errors:
            self.add_error("corner_size", f"Write the size it was {data['corner']} to.")

    def _goes_back(self, data: dict[str, Any]) -> None:
        if not data.get("sent_back"):
            self.add_error("sent_back", "Write why, so that the grinder knows.")
        if data.get("left_depth") and not data.get("left_reach") and "left_reach" not in self.errors:
            self.add_error("left_reach", "Say how far back from the end the damage reaches.")

    def values(self) -> dict[str, Any]:
        """The arguments of actions.check, besides pieces and revisions."""
        data = self.cleaned_data
        each_diameter = {
            piece.pk: data[f"diameter_{piece.pk}"] for piece in self.nth if data.get(f"diameter_{piece.pk}")
        }
        going = data["passed"]
        confirmed = f"Right as typed: {', '.join(self.confirmed)}." if self.confirmed else ""
        return {name: data.get(name) or "" for name in ("method", "corner", "coating", "witness")} | {
            "note": " ".join(filter(None, (data.get("note"), confirmed)))[:500],
            "gauge": data.get("gauge"),
            "indicator": data.get("indicator"),
            "done_at": data["done_at"],
            "typed": {name: data[name] for name in LENGTHS if isinstance(data.get(name), Typed)},
            "diameters": each_diameter,
            "passed": going == "yes",
            "sent_back": data["sent_back"] if going != "yes" else "",
            "drop_way": data.get("drop_way") or "" if data.get("drop") else "",
            "exceptions": self.exceptions,
            "angles": self._angles(),
            "released_because": data["released_because"] if self.outside else "",
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
