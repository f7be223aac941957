"""The teeth as a ring of big keys, as one sees them from the end: a tap on one goes to its reading."""

import math
from collections.abc import Sequence

from django.utils.html import format_html
from django.utils.safestring import SafeString

from regrind.shop.web import svg

KEY, PITCH, EDGE = 32.0, 72.0, 4.0  # radius of a key, from key to key, and round them all; px
LEAST_RADIUS = 72.0


def draw_ring(teeth: Sequence[tuple[str, str]]) -> SafeString:
    """teeth: (the id of a tooth's field, what is typed in it). Tooth 1 at the top, numbered clockwise.

    The drawing is as large as it says: it is not shrunk, so that its keys keep their size.
    """
    radius = max(LEAST_RADIUS, PITCH / 2 / math.sin(math.pi / len(teeth)))
    middle = radius + KEY + EDGE
    parts = [svg.circle((middle, middle), radius, "axis")]
    parts += [
        _key(n, name, read, svg.around((middle, middle), radius, 2 * math.pi * (n - 1) / len(teeth)))
        for n, (name, read) in enumerate(teeth, 1)
    ]
    parts += [
        svg.text((middle, middle - 4), "turn", anchor="middle", look="note"),
        svg.text((middle, middle + 14), "highest is 0", anchor="middle", look="note"),
    ]
    return svg.wrap(2 * middle, 2 * middle, f"The {len(teeth)} teeth in a ring", parts, role="group")


def _key(n: int, name: str, read: str, centre: svg.Point) -> SafeString:
    """The key, and over it what is read: outside of the link, whose name is the tooth's alone."""
    return format_html(
        '<a href="#{0}" data-focus="{0}" aria-label="Tooth {1}">{2}{3}</a><text x="{4}" y="{5}" '
        'font-size="13" text-anchor="middle" class="read" data-read="{0}">{6}</text>',
        name,
        n,
        svg.circle(centre, KEY, "toothkey"),
        svg.text((centre[0], centre[1] + (0 if read else 7)), str(n), size=20, anchor="middle"),
        f"{centre[0]:.2f}",
        f"{centre[1] + 17:.2f}",
        read,
    )
