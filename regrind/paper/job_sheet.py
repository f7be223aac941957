"""The job sheet: one batch on paper for the bench, usable in oil and without a tablet."""

from collections.abc import Sequence

from reportlab.lib.colors import black
from reportlab.platypus import CondPageBreak, Flowable

from regrind.paper import cautions, parts, setup_card, sheet, text
from regrind.paper.breaks import Begins
from regrind.paper.job_table import pieces_table
from regrind.paper.section import Picture
from regrind.paper.sketch import SketchPicture
from regrind.paper.values import BoxLine, JobLine, JobSetup, JobSheet, Section, Sketch, Style

TITLE = "Job sheet"
PICTURE = 62.0
SKETCH = (130.0, 56.0)  # width and height of a sketch, points
BOX = 15.0
NOTES = 116  # heading, three lines and the end mark stay on one page


def draw(values: JobSheet) -> bytes:
    """The job sheet of a batch; PDF bytes, the same for the same values."""
    wide, style = sheet.room(values.head), values.head.style
    story: list[Flowable] = [*_box(values.box, wide), *_wishes(values)]
    for number, setup in enumerate(values.setups, start=1):
        story += _setup(setup, number, style, wide)
    story += [CondPageBreak(150), parts.heading("Cautions"), *parts.bullets(_cautions(values))]
    story += [CondPageBreak(NOTES), parts.heading("Notes from the bench")]
    story += [parts.WriteIn(22) for _ in range(3)]
    return sheet.draw(TITLE, values.head, story, code=values.head.batch)


def _box(lines: Sequence[BoxLine], wide: float) -> list[Flowable]:
    """What is in the box, to be ticked as it is unpacked and as it is packed again."""
    widths = [BOX + 9, wide * 0.1, wide * 0.07, 0, wide * 0.2, wide * 0.24, BOX + 15]
    widths[3] = wide - sum(widths)
    rows: list[list[parts.Cell]] = [["Here", "Line", "Count", "Tool", "Part number", "Note", "Packed"]]
    rows += [
        [
            parts.Box(),
            parts.cell(one.number, widths[1], parts.SMALL_STRONG),
            str(one.count),
            parts.cell(one.description, widths[3]),
            parts.cell(one.part_number, widths[4]),
            parts.cell(one.note, widths[5]),
            parts.Box(),
        ]
        for one in lines
    ]
    commands = [("ALIGN", (2, 0), (2, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 1)]
    made = parts.table(rows, widths, commands)
    total = sum(one.count for one in lines)
    title = f"In the box: {text.plural(total, 'piece')}, {text.plural(len(lines), 'line')}"
    return [parts.heading(title), made]


def _wishes(values: JobSheet) -> list[Flowable]:
    made: list[Flowable] = []
    if values.terms:
        made += [parts.heading("The customer's terms"), *parts.bullets(values.terms)]
    if values.note:
        made += [parts.heading("Note"), parts.paragraph(values.note)]
    return made


def _setup(setup: JobSetup, number: int, style: Style, wide: float) -> list[Flowable]:
    """A setup under a heavy rule: the card's figures, then its lines in the order to grind them."""
    name = f"Setup {number} · {setup.title}" if setup.planned else setup.title
    title = parts.table(
        [[parts.paragraph(name, parts.HEADING)]],
        [wide],
        [("LINEABOVE", (0, 0), (-1, 0), parts.THICK, black), ("LEFTPADDING", (0, 0), (-1, -1), 0)],
        header=0,
        ruled=False,
    )
    made: list[Flowable] = [parts.gap(8), title]
    made += [parts.paragraph(setup.anew, parts.STRONG), parts.gap(2)] if setup.anew else []
    made += _others(setup)
    card = setup_card.card_parts(setup.card, style, wide, differing=setup.differing) if setup.card is not None else []
    made += card
    together = len(made) + (0 if card else 1)  # the card is not torn, nor the title from what follows it
    if setup.card is not None:
        made += parts.bullets(setup.card.cautions, parts.SMALL_STRONG)
    for one in setup.lines:
        made += _line(one, style, wide)
    return [Begins(made[:together]), *made]


def _others(setup: JobSetup) -> list[Flowable]:
    """What is set otherwise for some of the pieces: the card stands for the others."""
    if not setup.others or setup.card is None:
        return []
    intro = f"These figures are for {setup.card.title}. Different for:"
    return [parts.paragraph(intro, parts.STRONG), *parts.bullets(setup.others), parts.gap(3)]


def _line(line: JobLine, style: Style, wide: float) -> list[Flowable]:
    words: list[Flowable] = [parts.paragraph(f"Line {line.number} · {line.description}", parts.STRONG)]
    if line.part_number:
        words.append(parts.paragraph(f"Part number {line.part_number}", parts.SMALL))
    words += [parts.paragraph(line.note, parts.SMALL)] if line.note else []
    words += parts.bullets(line.cautions, parts.SMALL_STRONG)
    head: list[Flowable] = [parts.gap(6), *words, parts.gap(2)]
    if line.section is not None:
        head = [_beside(words, _picture(line.section, style), wide)]
    shown = [*head, pieces_table(line, style, wide)]
    return [Begins(shown), *shown]


def _picture(drawing: Section | Sketch, style: Style) -> Flowable:
    return SketchPicture(drawing, style, *SKETCH) if isinstance(drawing, Sketch) else Picture(drawing, style, PICTURE)


def _beside(words: list[Flowable], picture: Flowable, wide: float) -> Flowable:
    return parts.table(
        [[words, picture]],
        [wide - picture.width - 4, picture.width + 4],
        [
            ("VALIGN", (0, 0), (0, 0), "BOTTOM"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ],
        header=0,
        ruled=False,
    )


def _cautions(values: JobSheet) -> list[str]:
    """Every setup's cautions once, then those that always hold."""
    of_setups = [setup.card.cautions for setup in values.setups if setup.card]
    return [*cautions.gather(*of_setups, cautions.GENERAL)]
