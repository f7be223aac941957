"""The rules of the final check's form: what is needed, what fits together and what may be said."""

from collections.abc import Sequence
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.units import Typed, Unit, show_with_unit
from regrind.record.models import Piece

from ..gauge_fields import refuse_anvil, refuse_method, refuse_span
from . import corner_and_coating, findings, plausibility, relief
from .actions import Again
from .blocks import Block
from .fields import EXCEPTIONS, LEFT, CheckFields
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
        for block in self._used(ticked):
            self._read_relief(block, data)
        self._check_corner_and_coating(data, ticked)
        if data.get("passed") in ("no", "anew"):
            self._goes_back(data)
        for block in self._used(ticked):
            self._ask_sure(block, data)
        self.outside = data.get("passed") == "yes" and self._judge(data, ticked)
        return data

    def _used(self, ticked: Sequence[Piece]) -> list[Block]:
        """The blocks of which a piece is ticked, that of the first ticked piece first; else the first of all."""
        used = [block for block in self.blocks if set(block.pieces) & set(ticked)]
        return sorted(used, key=lambda block: ticked[0] not in block.pieces) or self.blocks[:1]

    def _firsts(self, ticked: Sequence[Piece]) -> dict[int, Block]:
        """By piece id, of the first ticked piece of each size, its block."""
        return {
            next(piece.pk for piece in ticked if piece in block.pieces): block
            for block in self.blocks
            if set(block.pieces) & set(ticked)
        }

    def refuse(self, message: str) -> None:
        self.asks_release = True
        super().refuse(message)

    def _ask_sure(self, block: Block, data: dict[str, Any]) -> None:
        """Ask about readings that look mistyped; `sure` says that they are right."""
        unit = self.line.batch.customer.unit
        relief_cdeg = block.relief.cdeg if block.relief else None
        odd = plausibility.find_odd(block.read(data), self.tool, unit, relief_cdeg, block.usable_nm)
        for name, text in odd.items():
            if data.get("sure"):
                self.confirmed.append(str(self.fields[block.name(name)].label).lower())
                continue
            self.asks_sure = True
            self.add_error(block.name(name), f"{text} If that is right, tick “The value is right” and save again.")

    def _judge(self, data: dict[str, Any], ticked: Sequence[Piece]) -> bool:
        """Say beside each field what is outside its limit; a reason lets measured pieces go all the same."""
        wrong = self._list_wrong(data, ticked)
        self.asks_release = bool(wrong)
        if wrong and not data.get("released_because"):
            for name, text in wrong:
                self.add_error(name if name in self.fields else None, f"{text}.")
            self.add_error("released_because", "Say why it may go back all the same, or do not release it.")
        firsts = self._firsts(ticked)
        unread = [piece.short for piece in ticked if not self._lengths(data, piece, firsts.get(piece.pk))]
        if wrong and data.get("released_because") and unread:
            self.add_error("pieces", say_unread(unread))
        return bool(wrong)

    def _list_wrong(self, data: dict[str, Any], ticked: Sequence[Piece]) -> list[tuple[str, str]]:
        """(field, what is wrong) for each finding that stands in the way of releasing the ticked pieces."""
        gauge, indicator, unit = data.get("gauge"), data.get("indicator"), self.line.batch.customer.unit
        bounds, wrong, diameters, firsts = self.bounds, [], [], self._firsts(ticked)
        for piece in ticked:
            block = firsts.get(piece.pk)
            lengths = self._lengths(data, piece, block)
            if piece.pk in self.exceptions or bounds is None:
                continue
            limits = bounds.limits(piece.pk, lengths.get("diameter"))
            made = findings.list_findings(limits, lengths, block.relief if block else None, gauge, indicator)
            diameters += [nm for name, nm in lengths.items() if name == "diameter"]
            wrong += [
                (
                    block.name(findings.field_of(one, limits.holds)) if block else f"diameter_{piece.pk}",
                    findings.say(one, unit),
                )
                for one in made
                if findings.objects(one)
            ]
        spread = findings.find_spread(self.line, diameters, gauge)
        return wrong + [("diameter", findings.say(one, unit)) for one in spread if findings.objects(one)]

    def _lengths(self, data: dict[str, Any], piece: Piece, block: Block | None) -> dict[str, int]:
        """What was read on a ticked piece, in nm by name. block: where it is read in full; else its own diameter."""
        if block:
            return block.lengths_nm(data)
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
        for first in (self.by_id[str(pk)] for pk in self._firsts(ticked) if pk in reasons):
            self.add_error(
                "pieces",
                f"{first.short} is read in full, so it stands for the others: send it back in "
                "a check of its own, without the others.",
            )
        return reasons

    def _needs(self, data: dict[str, Any], ticked: Sequence[Piece]) -> None:
        going = data.get("passed")
        needed = self.needed if going == "yes" else ("diameter",) if going == "anew" else ()
        firsts = self._firsts(ticked)
        for pk, block in (firsts or {0: self.blocks[0]}).items():
            of_whom = self.by_id[str(pk)].short if len(self.blocks) > 1 else "the first piece"
            for name in map(block.name, needed):
                if data.get(name) is None and name not in self.errors:
                    label = str(self.fields[name].label).lower()
                    self.add_error(name, f"Read the {label} of {of_whom}.")
        if going != "yes":
            return
        for piece in self.nth:
            name = f"diameter_{piece.pk}"
            counted = piece in ticked and piece.pk not in firsts and piece.pk not in self.exceptions
            if counted and data.get(name) is None and name not in self.errors:
                self.add_error(
                    name,
                    f"Measure {piece.short}, or untick it: the line asks for every {ordinal(self.line.check_every)}.",
                )

    def _check_gauge(self, data: dict[str, Any]) -> None:
        for block in self.blocks:
            if "gauge" in self.fields and "gauge" not in self.errors:
                refuse_span(self, data.get("gauge"), block.read(data)["diameter"], self.line.batch.customer.unit)
        if self.tool.kind_data.computed:
            refuse_method(self, data.get("method"), self.teeth, self.tool.unequal_index)
            refuse_anvil(self, data.get("method"), data.get("gauge"), self.teeth)

    def _read_relief(self, block: Block, data: dict[str, Any]) -> None:
        values, over_field, way_field = block.read(data), block.name("drop_over"), block.name("drop_way")
        drop, over, way = (values[name] for name in ("drop", "drop_over", "drop_way"))
        if drop and not over and over_field not in self.errors:
            self.add_error(over_field, "A drop means nothing without the distance it was taken over.")
        if drop and not way and way_field not in self.errors:
            self.add_error(way_field, f"Choose how the distance was taken. {WAY_MATTERS}")
        diameter = values["diameter"]
        if not (drop and over and way and diameter):
            return
        try:
            block.relief = relief.find(drop.nm, over.nm, way, diameter.nm, values["indicator"], values["gauge"])
        except Refused as refused:
            self.add_error(
                block.name("drop") if refused.field in ("drop_mm", "digit_mm") else over_field,
                f"Drop and distance fit no relief: {refused.field.split('_')[0]} {refused.message}.",
            )

    def _check_corner_and_coating(self, data: dict[str, Any], ticked: Sequence[Piece]) -> None:
        for block in self._used(ticked):
            values, size_field = block.read(data), block.name("corner_size")
            for piece in (piece for piece in ticked if piece in block.pieces):
                self._refuse_untrue(block, values, piece, alone=len(ticked) == 1)
            if values["corner"] in SIZED and not values["corner_size"] and size_field not in self.errors:
                self.add_error(size_field, f"Write the size it was {values['corner']} to.")

    def _refuse_untrue(self, block: Block, values: dict[str, Any], piece: Piece, *, alone: bool) -> None:
        parts, again = self.ground.get(piece.pk, ()), piece.pk in self.recoated
        corner = corner_and_coating.wrong_corner(self.tool, parts, values["corner"] or "")
        coating = corner_and_coating.wrong_coating(self.tool, parts, values["coating"] or "", again)
        for name, wrong in ((block.name("corner"), corner), (block.name("coating"), coating)):
            if wrong and name in self.fields and name not in self.errors:
                self.add_error(name, wrong if alone else f"{piece.short}: {wrong}")

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
        first, *others = self._used(self.chosen())
        return vars(first.first_read(data)) | {
            "others": {block.planned_nm: block.first_read(data) for block in others},
            "note": " ".join(filter(None, (data.get("note"), confirmed)))[:500],
            "gauge": data.get("gauge"),
            "indicator": data.get("indicator"),
            "done_at": data["done_at"],
            "diameters": each_diameter,
            "passed": going == "yes",
            "sent_back": data["sent_back"] if going != "yes" else "",
            "exceptions": self.exceptions,
            "released_because": data["released_because"] if self.outside else "",
            "again": self._again() if going == "anew" else None,
        }

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
