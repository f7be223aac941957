"""The arc of a ball or a corner radius, drawn true, to tap on where the damage ends."""

import math

from django.utils.html import format_html
from django.utils.safestring import SafeString

from regrind.shop.web import svg

RADIUS, CENTRE, STEP_DEG = 230.0, (46.0, 62.0), 15
INNER, OUTER = 0.62 * RADIUS, RADIUS + 20.0  # of a key: wider than a finger along its middle
WIDTH, HEIGHT = 330.0, 336.0
NAMES = {"ball": "tip", "radius": "end"}


def draw_arc(corner: str, typed: str, field_id: str) -> SafeString:
    """Keys of 15 degrees from the axis to the side; each writes where it ends into a field.

    corner: ball or radius; typed: what stands in that field. The drawing is as large as it says, so its keys keep
    their size.
    """
    x, y = CENTRE
    parts = [_key(degrees, typed, field_id) for degrees in range(STEP_DEG, 91, STEP_DEG)]
    arc = [find_place(degrees) for degrees in range(91)]
    start = [(0.0, y + RADIUS)] if corner == "radius" else []
    parts.append(svg.path([*start, *arc, (x + RADIUS, 0.0)], "will", closed=False))
    if corner == "ball":
        parts.append(svg.line((x, 0.0), (x, HEIGHT), "centre"))
    parts += [
        svg.text((x + 6, HEIGHT - 6), f"{NAMES[corner]}, 0°", look="note"),
        svg.text((WIDTH, 14), "side", anchor="end", look="note"),
        svg.text((x + 8, y + 14), "Tap where the", look="note"),
        svg.text((x + 8, y + 32), "damage ends.", look="note"),
    ]
    return svg.wrap(WIDTH, HEIGHT, f"The arc from the {NAMES[corner]} to the side, in keys of 15°", parts, role="group")


def find_place(degrees: float, radius: float = RADIUS) -> svg.Point:
    """A point of the sheet at an angle from the axis, which points down to the tip."""
    angle = math.radians(degrees)
    return CENTRE[0] + radius * math.sin(angle), CENTRE[1] + radius * math.cos(angle)


def _key(degrees: int, typed: str, field_id: str) -> SafeString:
    """The key that ends at an angle, shaded where that stands in the field."""
    span = range(degrees - STEP_DEG, degrees + 1, 3)
    outline = [find_place(one, OUTER) for one in span] + [find_place(one, INNER) for one in reversed(span)]
    label = find_place(degrees - STEP_DEG / 2, (INNER + RADIUS) / 2)
    return format_html(
        '<a href="#{0}" data-fill="{0}" data-value="{1}°" aria-label="Damage ends at {1}°">{2}{3}</a>',
        field_id,
        degrees,
        svg.path(outline, "toothkey chosen" if typed.strip() == f"{degrees}°" else "toothkey"),
        svg.text((label[0], label[1] + 5), f"{degrees}°", size=16, anchor="middle"),
    )
