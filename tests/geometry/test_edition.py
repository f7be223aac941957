"""Every limit says its unit, source and edition; the published ones are the table's own rows."""

import re

from regrind.geometry.edition import COLLET_RUNOUT, EDITION, list_limits
from regrind.geometry.floors import find_published
from regrind.geometry.tables import rows


def test_no_limit_is_a_bare_number():
    for limit in list_limits():
        assert limit.unit
        assert limit.source
        assert limit.edition == EDITION
    assert re.fullmatch(r"\d{4}-\d{2}", EDITION)


def test_the_published_bands_are_those_of_the_table_and_say_where_it_is_silent():
    published = [limit for limit in list_limits() if limit.name == "published_reduction"]
    table = [row for row in rows("18_practice_and_tolerances") if row["item"].startswith("largest reduction")]
    assert [(limit.condition, limit.value) for limit in published] == [
        (row["condition"], float(row["value"])) for row in table
    ]
    assert all("gaps" in limit.note for limit in published)
    assert "below 1/4 in" in published[0].note
    assert find_published(6_000_000) is None  # 6 mm: below the first band, as the note says


def test_half_a_thousandth_in_the_collet_is_tolerable():
    """Common practice: half a thousandth of an inch of runout in the collet is tolerable on a small end mill."""
    assert (COLLET_RUNOUT.value, COLLET_RUNOUT.unit, COLLET_RUNOUT.source) == (0.0005, "in", "common practice")
