"""The returned-tool report of a batch: what came, what was done, what was not ground and why."""

from collections.abc import Iterable, Sequence
from datetime import date

from regrind.bench.models import Photo
from regrind.bench.photographs.shown import photos_of_pieces
from regrind.paper import text, values
from regrind.record.customer_savings import sum_savings
from regrind.record.kinds import name_part
from regrind.record.models import Batch, Line, Piece
from regrind.record.piece_names import spans
from regrind.shop.files.photos import read
from regrind.shop.owner.settings import shop_settings

from .common import (
    Rows,
    by_line,
    clearance,
    corner_now,
    day_of,
    exact,
    gather,
    heading,
    length,
    part_number,
    pieces_of,
    resolution_of,
    style,
    tool_name_now,
    tool_name_of,
    words_of,
)
from .lives import life_charts
from .report_assumed import say_assumed
from .report_instruments import list_instruments
from .report_now import pieces_now
from .report_pieces import RESULTS, removed, report_pieces

UNGROUND = ("returned_unground", "scrap", "missing")
GROUND_CORNERS = ("re-formed", "clipped")  # said on the first page: they are part of the size
MOST_NAMED = 3  # pieces whose figures stand in a line's row; all stand in the table

# what is told to be unread on a line, by what the label of its kind says
ASKED = {
    "diameter": ("diameter",),
    "length": ("overall length", "usable length"),
    "runout": ("runout",),
    "relief": ("relief",),
    "width": ("width",),
    "chamfer": ("chamfer",),
    "angle": ("angle",),
}


def report(batch: Batch, revision: int, dated: date) -> values.Report:
    """The report as the record stands today; it may be issued again when more has left."""
    pieces = pieces_of(batch)
    rows = gather(pieces)
    lines = by_line(pieces)
    tell_left = batch.customer.regrinds_left_on_report
    return values.Report(
        heading(batch, str(batch.number), revision, dated),
        tuple(_line(same[0].line, same, rows, tell_left) for same in lines.values()),
        not_ground=tuple(_not_ground(lines, pieces)),
        instruments=list_instruments(rows),
        assumed=tuple(words for same in lines.values() for words in say_assumed(same, rows)),
        life=tuple(life_charts(batch, pieces)),
        summary=_summary(batch),
        saved=_saved(batch, dated),
        measured_by=_signed((row.who, day_of(row.done_at)) for row, _ in rows.readings),
        released_by=_signed((row.who, day_of(row.done_at)) for row in rows.checks.values() if row.passed),
    )


def _signed(people: Iterable[tuple[str, date]]) -> tuple[values.Signed, ...]:
    """Each person once, with the last day."""
    last: dict[str, date] = {}
    for who, on in people:
        last[who] = max(on, last.get(who, on))
    return tuple(values.Signed(who, on) for who, on in sorted(last.items()))


def _summary(batch: Batch) -> str:
    """Remarks on the box: a count that differed, and things that are not the customer's."""
    sentences = []
    if batch.their_count is not None and batch.difference:
        sentences.append(
            f"Your list says {batch.their_count}; we counted {batch.pieces.exclude(status='missing').count()}."
        )
    foreign_items = [item.description for item in batch.foreign_items.all()]
    sentences += [f"Also in the box, not yours: {', '.join(foreign_items)}."] if foreign_items else []
    return " ".join(sentences)


def _saved(batch: Batch, dated: date) -> str:
    """What all of this customer's tools came to by this day; nothing where no new price is known to compare with."""
    savings = sum_savings(batch.customer)
    if not savings.tools:
        return ""
    how, currency = style(batch), shop_settings().currency
    amount = f"{text.money(values.Money(abs(savings.saved_minor), currency), how)}{text.NO_BREAK}{currency}"
    result = f"saved you {amount}" if savings.saved_minor >= 0 else f"cost you {amount} more"
    counted = text.plural(savings.tools, "tool")
    return (
        f"Your tools with us up to {text.day(dated)}: {text.plural(savings.received, 'tool')} received. Of "
        f"{savings.decided} finished, {savings.good} were reground without a complaint. Compared with buying new, "
        f"this {result} after our charges, counting the {counted} whose new price we know."
    )


def _line(line: Line, same: list[Piece], rows: Rows, tell_left: bool) -> values.ReportLine:
    """The line on the first page: how many, and from which size to which they measured."""
    low, high = _ends(same, rows)
    nominal = line.family.nominal_nm
    done = sorted(
        {" and ".join(map(name_part, rows.ground[p.pk])) for p in same if p.result == "ground" and p.pk in rows.ground}
    )
    return values.ReportLine(
        str(line.number),
        tool_name_now(line),
        received=len(same),
        ground=sum(p.result == "ground" for p in same),
        pieces=report_pieces(same, rows, tell_left),
        asked=tuple(dict.fromkeys(name for word in line.family.kind_data.label for name in ASKED.get(word, ()))),
        now=pieces_now(same, rows),
        part_number=line.customer_tool_number,
        nominal=exact(nominal),
        diameter_from=length(*low) if low else None,
        diameter_to=length(*high) if low and high and high[0] > low[0] else None,
        difference=length(low[0] - nominal, low[1]) if low and nominal else None,
        difference_to=length(high[0] - nominal, high[1]) if low and high and nominal and high[0] > low[0] else None,
        done=", ".join(done),
        other="; ".join(filter(None, (_being_coated(same), _other(same, rows)))),
        regrinds_left=_left(same, rows) if tell_left else "",
    )


def _being_coated(same: list[Piece]) -> str:
    """Only ground pieces go to the coater; they count as ground once they are checked."""
    count = sum(piece.status == "at_coater" for piece in same)
    return f"{count} at the coater, to be counted as ground once checked" if count else ""


def _ends(same: list[Piece], rows: Rows) -> tuple[tuple[int, int] | None, tuple[int, int] | None]:
    """The smallest and largest diameter that a ground piece of the line measured, with the gauge's resolution."""
    measured = [
        (check.diameter_nm, resolution_of(check, "diameter"))
        for p in same
        if p.result == "ground" and (check := rows.checks.get(p.pk)) and check.diameter_nm is not None
    ]
    return min(measured, default=None), max(measured, default=None)


def _other(same: list[Piece], rows: Rows) -> str:
    """What was removed, relief, runout and corner of the line's full checks, and complaints made good.

    A figure names the piece that it was read on; what was removed, where it was not read on each ground piece.
    """
    how, ground = style(same[0].line.batch), [p for p in same if p.result == "ground"]
    full = list({c.pk: c for p in ground if (c := rows.full_check(p)) and c.in_full}.values())
    named = [(rows.names[check.piece_id], check) for check in full]
    reliefs = [(name, text.angle(r.relief, how)) for name, c in named if (r := clearance(rows, c)) and r.relief]
    runouts = [(name, words_of(c.runout_sides_nm, how)) for name, c in named if c.runout_sides_nm is not None]
    corner = next((c for c in full if c.corner in GROUND_CORNERS), None)
    complaints = [p for p in same if p.complaint_of_id]
    parts = [
        _say_removed(ground, rows, how),
        _say_each("primary relief", reliefs),
        _say_each("runout", runouts),
        corner_now(corner, how, same[0].line.family.kind_data.corner) if corner else "",
        f"{len(complaints)} on complaint, no charge" if complaints else "",
    ]
    return "; ".join(part for part in parts if part)


def _say_removed(ground: Sequence[Piece], rows: Rows, how: values.Style) -> str:
    """`.0046 in off the radius on 1-2`: the piece where others were ground without a reading of it."""
    off = {piece: taken for piece in ground if (taken := removed(piece, rows))}
    if not off:
        return ""
    least, most = (pick(off.values(), key=lambda taken: taken.nm) for pick in (min, max))
    low, high = text.dual(least, how), text.dual(most, how)
    named = f" on {spans(list(off))}" if len(off) < len(ground) else ""
    return f"{low if low == high else f'{low} to {high}'} off the radius{named}"


def _say_each(quantity: str, figures: Sequence[tuple[str, str]]) -> str:
    """`runout .0002 in on 1-1, .0003 in on 1-2`: the first few; '' where nobody read it. figures: by piece."""
    words = [f"{figure} on {piece}" for piece, figure in figures[:MOST_NAMED]]
    more = [f"{len(figures) - MOST_NAMED} more below"] if len(figures) > MOST_NAMED else []
    return f"{quantity} {', '.join([*words, *more])}" if words else ""


def _left(same: list[Piece], rows: Rows) -> str:
    counts = sorted(
        {
            plan.regrinds_left
            for p in same
            if p.result == "ground" and (plan := rows.plans.get(p.pk)) and plan.regrinds_left is not None
        }
    )
    return "" if not counts else f"about {counts[0]}" if len(counts) == 1 else f"about {counts[0]} to {counts[-1]}"


def _not_ground(lines: dict[int, list[Piece]], pieces: list[Piece]) -> list[values.NotGround]:
    """Every piece not ground has its place: like ones together, by line, result and reason, with their photos."""
    entries: list[values.NotGround] = []
    photos = photos_of_pieces([piece for piece in pieces if piece.result in UNGROUND])
    for same in lines.values():
        groups: dict[tuple[str, str], list[Piece]] = {}
        for piece in same:
            if piece.result in UNGROUND:
                groups.setdefault((piece.result, piece.reason), []).append(piece)
        entries += [
            values.NotGround(
                spans(like),
                tool_name_of(like[0].line, like),
                len(like),
                RESULTS[result],
                reason or "reason not recorded",
                part_number=part_number(like[0].line, like),
                photos=_photos(like, photos),
            )
            for (result, reason), like in groups.items()
        ]
    return entries


def _photos(like: list[Piece], photos: dict[int | None, list[Photo]]) -> tuple[values.Photo, ...]:
    """What was photographed of these pieces, and of their whole line where the photo says why it is not ground."""
    line = like[0].line_id
    shown = [photo for piece in like for photo in photos.get(piece.pk, [])]
    shown += [photo for photo in photos.get(None, []) if photo.line_id == line and photo.about == "not_ground"]
    return tuple(values.Photo(read(photo.sha256) or b"", _caption(photo)) for photo in shown)


def _caption(photo: Photo) -> str:
    """Which piece, what of it, in whose words and when."""
    whose = photo.piece.short if photo.piece else "whole line"
    mark = f"mark {photo.mark}" if photo.mark else ""
    return ", ".join(part for part in (whose, photo.get_about_display(), mark, photo.caption) if part)
