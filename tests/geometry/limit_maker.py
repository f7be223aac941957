"""Limits and usual stocks near what the options of a made case reach."""

from __future__ import annotations

from fractions import Fraction

from tests.geometry.slow_case import read_case
from tests.geometry.slow_limits import diameter_floor_mm, flute_floors_mm, limit_lines
from tests.geometry.slow_model import options_of
from tests.geometry.slow_state import cut_back, inputs_of, new_radius, picks, usable_length


class LimitMaker:
    """The part of a case maker that sets limits; the other parts have set its sizes before."""

    def _add_limits(self, case: dict, published: bool) -> None:
        """Limits on both sides of what the options reach, some of them by less than the uncertainty."""
        rng = self.rng
        names = [n for n in ("diameter", "rake_deg", "flute_depth", "usable_length") if rng.random() < 0.6]
        limits = {name: self._limit(name) for name in names}
        if published or rng.random() < 0.1:
            limits["published_reduction"] = published
        if limits or rng.random() < 0.3:
            case["limits"] = limits
        if rng.random() < 0.6:
            self._bring_near(case)

    def _limit(self, name: str) -> float | int:
        rng = self.rng
        if name == "rake_deg":
            return rng.choice((0, rng.randint(-100, 100) / 10))
        return self.grid(
            {
                "diameter": self.diameter / 1e6 * rng.uniform(0.88, 1.0),
                "flute_depth": self.depth_room * rng.uniform(0.4, 1.05),
                "usable_length": self.flute / 1e6 * rng.uniform(0.3, 1.0),
            }[name]
        )

    def _bring_near(self, case: dict) -> None:
        known = read_case(self._spelled(case))
        options = options_of(known)
        if not options:
            return
        option = self.rng.choice(options)
        for line in limit_lines(known, option):
            name, value = line["limit"], line["value"]
            if name in ("published_reduction", "diameter_floor") or value is None or self.rng.random() < 0.4:
                continue
            spread = line["expanded_uncertainty"] or 0.001
            near = value + self.rng.choice((0, 0, 0.5, -0.5, 1.5, -1.5)) * spread
            if name == "flute_floor":
                case["tool"]["new_flute_length"] = max(self.flute, self.grid(2 * near))
            elif name == "rake_deg":
                case["limits"][name] = max(-80, min(80, round(near, 3)))
            elif near > 0:
                case["limits"][name] = self.grid(near)

    def _end_exactly(self, case: dict) -> None:
        """A usual stock or cut-back that uses up what an option leaves in a whole number of regrinds."""
        known = read_case(self._spelled(case))
        options = options_of(known)
        if not options:
            return
        option, q = self.rng.choice(options), inputs_of(known)
        pick = picks(known, q, option)[0]
        radius, length = new_radius(known, q, option, pick), usable_length(known, q, option, pick)
        least = known.limits.get("diameter", diameter_floor_mm(known))
        sides = radius - self.rng.choice((known.fields["core_diameter"], least)) / 2
        end = length - self.rng.choice((0, known.limits.get("usable_length", 0)))
        end -= self.rng.choice((0, known.stylus))
        if "usable_length" not in known.limits:
            end = known.flute - cut_back(known, q, option, pick) - max(flute_floors_mm(known))
        case["typical"] = {"stock_radial": self._share(sides), "cut_back": self._share(end)}
        if self.rng.random() < 0.5:
            case["typical"][self.rng.choice(("stock_radial", "cut_back"))] = 0

    def _share(self, room: Fraction) -> int:
        """A whole number of nanometres that goes into `room` without a rest, where there is one."""
        nm = room * 1_000_000
        counts = [n for n in range(1, 60) if nm > 0 and (nm / n).denominator == 1]
        return int(nm / self.rng.choice(counts)) if counts else 0
