"""The frame of every sheet: letterhead, then a running head, a foot with page n of m, an end mark."""

from collections.abc import Callable, Sequence
from io import BytesIO
from typing import Any

from PIL import Image as PillowImage
from PIL import UnidentifiedImageError
from reportlab.lib.colors import black
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Frame, Image, NextPageTemplate, PageTemplate, Table

from regrind.paper import parts, qr, text
from regrind.paper.breaks import Document
from regrind.paper.type import BOLD, REGULAR, width, write
from regrind.paper.values import Customer, Heading, Letterhead

PAGES = {"letter": letter, "A4": A4}
SIDE, TOP, FOOT = 42.0, 40.0, 46.0
TITLE = ParagraphStyle("title", parts.BODY, fontName=BOLD, fontSize=20, leading=23, alignment=2)
NUMBER = ParagraphStyle("number", parts.BODY, fontName=BOLD, fontSize=11, leading=14, alignment=2)
SHOP = ParagraphStyle("shop", parts.BODY, fontName=BOLD, fontSize=12, leading=15)
LOGO_PT = (120.0, 44.0)
DOTS_A_POINT = 3.0  # 216 dots to the inch: what an office printer shows of a photo


def room(head: Heading) -> float:
    """The width between the margins, in points."""
    return float(PAGES[head.style.page][0]) - 2 * SIDE


def draw(title: str, head: Heading, story: Sequence[Flowable], *, code: str = "", order: str = "Order number") -> bytes:
    """A whole paper: letterhead, the story, the end mark; PDF bytes, the same for the same values.

    `code` is a number to print as a QR code beside the title, so that scanning the sheet opens it; `order` is
    what the customer's order number is called ("Your order" where the customer reads it).
    """
    buffer = BytesIO()
    name = f"{title} {text.line(head.number)}"
    page = PAGES[head.style.page]
    document = Document(
        buffer,
        pagesize=page,
        leftMargin=SIDE,
        rightMargin=SIDE,
        topMargin=TOP,
        bottomMargin=FOOT,
        title=name,
        author=text.line(head.shop.name),
        creator="regrind",
        invariant=1,
        pageCompression=1,
        initialFontName=REGULAR,
    )
    frames = [Frame(SIDE, FOOT, page[0] - 2 * SIDE, page[1] - FOOT - top, 0, 0, 0, 0) for top in (TOP, TOP + 10)]
    document.addPageTemplates(
        [
            PageTemplate("first", [frames[0]]),
            PageTemplate("next", [frames[1]], onPage=lambda canvas, _: _running_head(canvas, name, head)),
        ]
    )
    end = end_mark(name, head.revision)
    document.build(
        [NextPageTemplate("next"), *letterhead(title, head, code, order), *story, *end],
        canvasmaker=_counted(lambda canvas, number, count: _foot(canvas, name, head, number, count)),
    )
    return buffer.getvalue()


def _counted(foot: Callable[[Canvas, int, int], None]) -> type[Canvas]:
    """A canvas that holds its pages back until it knows how many there are."""

    class Counted(Canvas):
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self._held: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802 (ReportLab's name)
            self._held.append(dict(self.__dict__))
            self._startPage()  # type: ignore[attr-defined]  # missing in the stub

        def save(self) -> None:
            held = self._held
            for number, state in enumerate(held, start=1):
                self.__dict__.update(state)
                foot(self, number, len(held))
                super().showPage()
            super().save()

    return Counted


def _running_head(canvas: Canvas, name: str, head: Heading) -> None:
    wide, high = PAGES[head.style.page]
    words = f"{name} · {text.line(head.shop.name)}"
    _ends(canvas, high - TOP + 4, words, text.line(head.customer.name), wide)
    canvas.setLineWidth(parts.THIN)
    canvas.line(SIDE, high - TOP - 2, wide - SIDE, high - TOP - 2)


def _foot(canvas: Canvas, name: str, head: Heading, number: int, count: int) -> None:
    wide = PAGES[head.style.page][0]
    canvas.setLineWidth(parts.THIN)
    canvas.line(SIDE, FOOT - 12, wide - SIDE, FOOT - 12)
    words = f"{text.line(head.shop.name)} · {name} · revision {head.revision} · {text.day(head.dated)}"
    _ends(canvas, FOOT - 22, words, f"Page {number} of {count}", wide)


def _ends(canvas: Canvas, y: float, left_text: str, right_text: str, wide: float, size: float = 7.5) -> None:
    """Two texts at the ends of a line; shrunk together where they would meet."""
    both = wide - 2 * SIDE - 12
    size = min(size, both / max(width(left_text, 1) + width(right_text, 1), 1))
    write(canvas, SIDE, y, left_text, size)
    write(canvas, wide - SIDE - width(right_text, size), y, right_text, size)


def end_mark(name: str, revision: int) -> list[Flowable]:
    """A line that says nothing follows: a torn or missing last page is noticed."""
    return [EndMark(f"— End of {name[0].lower()}{name[1:]}, revision {revision} —")]


class EndMark(Flowable):
    """Words in the middle of a line of their own, or right above the foot: they never take a page for themselves."""

    SIZE, ABOVE, HEIGHT, LOWEST = 7.5, 17.2, 19.5, -8.0

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words

    def wrap(self, room: float, height: float) -> tuple[float, float]:
        """As high as wanted, or what is left of the page."""
        self.width, self.height = room, min(self.HEIGHT, max(height, 0.0))
        return self.width, self.height

    def draw(self) -> None:
        """Write the words, smaller where they are longer than the line."""
        size = min(self.SIZE, self.width / width(self.words, 1))
        x = (self.width - width(self.words, size)) / 2
        write(self.canv, x, max(self.height - self.ABOVE, self.LOWEST), self.words, size)


def letterhead(title: str, head: Heading, code: str, order: str) -> list[Flowable]:
    """The shop at the left, the paper's title and number at the right, customer and order below."""
    wide = room(head)
    right: list[Flowable] = [parts.paragraph(title, TITLE), parts.paragraph(head.number, NUMBER)]
    issue = f"Revision {head.revision} · {text.day(head.dated)}"
    right.append(parts.paragraph(issue, parts.SMALL_RIGHT))
    columns: list[parts.Cell] = [_shop(head.shop), right]
    widths = [wide * 0.55, wide * 0.45]
    if code:
        columns.append([Code(code)])
        widths = [wide * 0.5, wide * 0.5 - 54, 54]
    top = parts.table(
        [columns],
        widths,
        [
            ("LINEBELOW", (0, 0), (-1, -1), parts.THICK, black),
            ("LEFTPADDING", (0, 0), (0, 0), 0),
            ("RIGHTPADDING", (-1, 0), (-1, 0), 0),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
        ],
        header=0,
    )
    return [top, *([_band(head, order, wide)] if head.customer.name else []), parts.gap(4)]


def _shop(shop: Letterhead) -> list[Flowable]:
    logo = picture(shop.logo, *LOGO_PT) if shop.logo and is_whole(shop.logo) else None
    words: list[Flowable] = [parts.paragraph(shop.name, SHOP)]
    words += [parts.paragraph(one, parts.SMALL) for one in shop.lines]
    return [logo, parts.gap(3), *words] if logo else words


def shrunk(image: bytes, widest: float, tallest: float) -> bytes:
    """A photo with no more pixels than a printer shows in a box; what is no picture stays as it is."""
    room = round(widest * DOTS_A_POINT), round(tallest * DOTS_A_POINT)
    try:
        with PillowImage.open(BytesIO(image)) as opened:
            if opened.width <= room[0] and opened.height <= room[1]:
                return image
            small = opened.convert("RGB")
        small.thumbnail(room)
    except (UnidentifiedImageError, OSError, ValueError):
        return image
    out = BytesIO()
    small.save(out, "JPEG", quality=85)
    return out.getvalue()


def is_whole(image: bytes) -> bool:
    """Whether all of a picture can be read: the head of one that was cut off is as good as ever."""
    try:
        PillowImage.open(BytesIO(image)).load()
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError):
        return False
    return True


def picture(image: bytes, widest: float, tallest: float) -> Image | None:
    """An image scaled into a box, or None where the bytes are no picture: a paper goes out all the same."""
    try:
        across, down = ImageReader(BytesIO(image)).getSize()
    except (UnidentifiedImageError, OSError, ValueError):
        return None
    scale = min(widest / max(across, 1), tallest / max(down, 1))
    return Image(BytesIO(image), across * scale, down * scale, hAlign="LEFT")


def _band(head: Heading, order: str, wide: float) -> Table:
    """Whom it is for, and the numbers to find it by."""
    pairs = [("Batch", head.batch), (order, head.order_number)]
    pairs += [("Received", text.day(head.arrived))] if head.arrived else []
    pairs += [("Due", text.day(head.due))] if head.due else []
    cells: list[parts.Cell] = [_customer(head.customer, head.addressee)]
    cells += [_named(name, value) for name, value in pairs if value]
    if head.rush:
        cells.append(Rush())
    rest = wide * 0.6 / max(1, len(cells) - 1)
    return parts.table(
        [cells],
        [wide * 0.4, *([rest] * (len(cells) - 1))] if len(cells) > 1 else [wide],
        [
            ("LINEBELOW", (0, 0), (-1, -1), parts.THIN, black),
            ("LEFTPADDING", (0, 0), (0, 0), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
        ],
        header=0,
    )


def _customer(customer: Customer, name: str) -> list[Flowable]:
    lines = [one for one in (*customer.lines, customer.contact) if one]
    return [*_named(name, customer.name), *(parts.paragraph(one, parts.SMALL) for one in lines)]


def _named(name: str, value: str) -> list[Flowable]:
    return [parts.paragraph(name, parts.NAME), parts.paragraph(value, parts.STRONG)]


class Rush(Flowable):
    """The word in white on black: seen across the room, and after a photocopy."""

    def __init__(self) -> None:
        super().__init__()
        self.width, self.height = 48.0, 20.0

    def draw(self) -> None:
        """Draw the box and the word."""
        self.canv.rect(0, 0, self.width, self.height, fill=1, stroke=0)
        self.canv.setFillGray(1)
        write(self.canv, (self.width - width("RUSH", 12, bold=True)) / 2, 5.8, "RUSH", 12, bold=True)
        self.canv.setFillGray(0)


class Code(Flowable):
    """A QR code of a number on a sheet, quiet zone included."""

    def __init__(self, content: str, side: float = 50) -> None:
        super().__init__()
        self.width = self.height = side
        self.content = content

    def draw(self) -> None:
        """Draw it at the flowable's own corner."""
        qr.draw_in(self.canv, qr.code_of(self.content), self.width)


class Address(Flowable):
    """A QR code of an address that a phone opens, quiet zone included."""

    def __init__(self, address: str, side: float = 96) -> None:
        super().__init__()
        self.width = self.height = side
        self.address = address

    def draw(self) -> None:
        """Draw it at the flowable's own corner."""
        qr.draw_in(self.canv, self.address, self.width, qr.ON_A_SHEET)
