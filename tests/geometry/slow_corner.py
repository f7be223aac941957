"""Corners for the slow model: where a circle or a chamfer passes a point, by angles, and extremes by looking closer.

The axial half-plane as in the papers: z back from the corner of the longest tooth, x out from the axis. Nothing here
knows where on an extent the extreme lies: it is searched among many points, again and again around the best one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

POINTS, ROUNDS = 41, 11
EVENLY = np.linspace(0, 1, POINTS)


@dataclass(frozen=True)
class Corner:
    """`size` is the leg or the radius; a ball takes that of the sides."""

    form: str
    size: float = 0.0


@dataclass(frozen=True)
class Track:
    """A mark's deepest points: one at `to`, or along an arc of radius `arc` between two angles from the axis."""

    tooth: float
    depth: float
    to: float = 0.0
    arc: float | None = None
    start: float = 0.0
    end: float = 0.0

    def points(self, angles: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        if self.arc is None:
            return np.full_like(angles, self.to), np.full_like(angles, self.tooth - self.depth)
        from_centre = (self.arc - self.depth) * np.exp(1j * angles)
        return self.arc - from_centre.real, self.tooth - self.arc + from_centre.imag


@lru_cache(maxsize=4096)
def need_of(corner: Corner, sides: float, track: Track) -> float:
    """The cut-back at which no deepest point is left; -inf where the sides take them all, nan for endless sides."""
    if not 0 < sides < math.inf:
        return math.nan

    def needs(angles: np.ndarray) -> np.ndarray:
        z, x = track.points(angles)
        return np.where(x >= sides - 1e-9, -np.inf, z - _over_end(corner, sides, x))

    return _extreme(needs, track, largest=True)


def _over_end(corner: Corner, sides: float, x: np.ndarray) -> np.ndarray:
    """How far behind the end the corner lies at the radius x."""
    if corner.form == "square":
        return np.zeros_like(x)
    if corner.form == "chamfer":
        return np.clip(x - (sides - corner.size), 0, None)
    radius = sides if corner.form == "ball" else corner.size
    along = np.arcsin(np.clip((x - sides + radius) / radius, 0, 1))
    return 2 * radius * np.sin(along / 2) ** 2


@lru_cache(maxsize=4096)
def radius_of(corner: Corner, end: float, track: Track) -> float:
    """The largest radius of the sides at which no deepest point is left, the end cut at `end`."""

    def radii(angles: np.ndarray) -> np.ndarray:
        z, x = track.points(angles)
        behind = z - end
        safe = np.where(behind > 1e-9, behind, 1.0)
        return np.where(behind > 1e-9, x + _inside_sides(corner, safe, x), np.inf)

    return _extreme(radii, track, largest=False)


def _inside_sides(corner: Corner, behind: np.ndarray, x: np.ndarray) -> np.ndarray:
    """How far inside the sides the corner lies at `behind` the end."""
    if corner.form == "square":
        return np.zeros_like(x)
    if corner.form == "chamfer":
        return np.clip(corner.size - behind, 0, None)
    if corner.form == "ball":
        # the ball's centre is as far from its tip as from the point: half the distance over the sine of the angle
        half = np.hypot(behind, x) / 2
        ball = half / np.sin(np.arctan2(behind, x))
        return np.where(x < behind, 0.0, ball - x)
    along = np.arccos(np.clip((corner.size - behind) / corner.size, -1, 1))
    return np.where(behind >= corner.size, 0.0, corner.size * 2 * np.sin((math.pi / 2 - along) / 2) ** 2)


def _extreme(values, track: Track, *, largest: bool) -> float:
    start, end = (0.0, 0.0) if track.arc is None else (track.start, track.end)
    best = -math.inf if largest else math.inf
    for _ in range(ROUNDS if track.arc is not None else 1):
        angles = start + (end - start) * EVENLY
        found = values(angles)
        place = int(np.argmax(found) if largest else np.argmin(found))
        best = max(best, float(found[place])) if largest else min(best, float(found[place]))
        start, end = angles[max(place - 1, 0)], angles[min(place + 1, POINTS - 1)]
    return best


def put_on_need(old: Corner, new: Corner, tooth: float, sides: float) -> float:
    """The cut-back at which the new, sharper corner lies within the old one, by bisection of the two outlines."""
    if new.form == "ball" or (not old.size and old.form != "ball"):
        return -math.inf
    low, high = 0.0, old.size or tooth
    if _lies_within(old, new, tooth, sides, 0.0):
        return -math.inf
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if _lies_within(old, new, tooth, sides, middle) else (middle, high)
    return high


def _lies_within(old: Corner, new: Corner, tooth: float, sides: float, cut: float) -> bool:
    """Whether no point of the new corner's outline stands out of the old metal.

    Of two circles the new one's point farthest from the old centre counts, where it is on both arcs; of two chamfers
    the distance of the lines.
    """
    if old.form == "chamfer":
        return (sides - new.size) - cut <= tooth - old.size + 1e-12
    radius = tooth if old.form == "ball" else old.size
    ahead = complex(cut + new.size, sides - new.size) - complex(radius, tooth - radius)
    if new.size >= radius - 1e-9:
        return True
    # z falls and x rises on the way out: beyond the new arc's ends the end and the sides are not outside the old
    if ahead.real >= 0 or ahead.imag <= 1e-9:
        return True
    return abs(ahead) + new.size <= radius + 1e-12
