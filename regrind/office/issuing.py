"""Issuing papers: the snapshot and the PDF are kept as they were; a reprint serves that very file."""
import dataclasses
import hashlib
import json
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db.models import Max
from django.http import Http404
from django.utils import timezone

from regrind.paper import job_sheet, label, report, slip, values
from regrind.record.find import batch_or_404, line_or_404, piece_or_404
from regrind.record.models import Batch, Line, Piece
from regrind.shop.acting import Refusal, acting
from regrind.shop.models import Person

from .models import IssuedPaper, Parcel
from .papers.job_sheet import job_sheet as job_values
from .papers.labels import arrival_tags, return_labels
from .papers.report import report as report_values
from .papers.slip import packing_slip

KINDS = ("job_sheet", "label", "tag", "report", "slip")


@dataclasses.dataclass(frozen=True)
class Draft:
    """A paper about to be issued: what it is of, its values and how they are drawn."""

    batch: Batch
    values: Any
    draw: Callable[[], bytes]
    line: Line | None = None
    piece: Piece | None = None


def draft(kind: str, number: str, *, stock: str = "50x25", start: int = 1, revision: int = 1,
          dated: date | None = None) -> Draft:
    """The paper of a kind and number as the record stands: 417 (job sheet, report), 417-3 or 417-3-7 (label, tag),
    417/2 (slip). Http404 where there is no such number, Refusal where there is nothing to print yet."""
    day = dated or timezone.localdate()
    if kind in ("label", "tag"):
        return _labels(kind, number, stock, start, day)
    if kind == "slip":
        parcel = _parcel(number)
        told = packing_slip(parcel, revision, day)
        return Draft(parcel.batch, told, lambda: slip.draw(told))
    batch = batch_or_404(number)
    if not batch.pieces.exists():
        raise Refusal("Nothing is logged in this box yet.")
    if kind == "job_sheet":
        sheet = job_values(batch, revision, day)
        return Draft(batch, sheet, lambda: job_sheet.draw(sheet))
    if kind == "report":
        whole = report_values(batch, revision, day)
        return Draft(batch, whole, lambda: report.draw(whole))
    raise Http404(kind)


def _labels(kind: str, number: str, stock: str, start: int, day: date) -> Draft:
    if stock not in values.STOCKS:
        raise Refusal(f"Label stock is one of {', '.join(values.STOCKS)}.")
    piece = piece_or_404(number) if number.count("-") == 2 else None
    line = piece.line if piece else line_or_404(number)
    pieces = [piece] if piece else list(line.pieces.select_related("batch", "line__family", "tool"))
    make = return_labels if kind == "label" else arrival_tags
    labels = make(line, pieces, day)
    if not labels:
        raise Refusal("Nothing of this is released yet: there is no label to print.")
    return Draft(line.batch, labels, lambda: label.draw(labels, values.STOCKS[stock], start), line, piece)


def _parcel(number: str) -> Parcel:
    if not found:
        raise Http404(number)
    return found[0]


def snapshot(told: Any) -> str:
    """The values of a paper as canonical JSON; pictures stand as their hash."""
    def plain(value: Any) -> Any:
        if isinstance(value, bytes):
            return hashlib.sha256(value).hexdigest()
        return value.isoformat() if isinstance(value, date) else str(value)
    whole = [dataclasses.asdict(v) for v in told] if isinstance(told, list) else dataclasses.asdict(told)
    return json.dumps(whole, default=plain, sort_keys=True, ensure_ascii=False)


def issue(*, by: Person, kind: str, number: str, stock: str = "50x25", start: int = 1) -> IssuedPaper:
    """Issue a paper, or find the one that already says the same. A changed content makes the next revision."""
    last = IssuedPaper.objects.filter(kind=kind, number=number).order_by("-revision").first()
    if last is not None:
        told = draft(kind, number, stock=stock, start=start, revision=last.revision, dated=timezone.localdate(last.at))
        if _content(told, stock, start) == last.snapshot:
            return last
    with acting(by, f"{kind} {number}"):
        newest = IssuedPaper.objects.filter(kind=kind, number=number).aggregate(m=Max("revision"))["m"] or 0
        fresh = draft(kind, number, stock=stock, start=start, revision=newest + 1)
        pdf = fresh.draw()
        return IssuedPaper.objects.create(
            kind=kind, number=number, revision=newest + 1, batch=fresh.batch, line=fresh.line, piece=fresh.piece,
            snapshot=_content(fresh, stock, start), sha256=keep_file(pdf), pages=pdf.count(b"/Type /Page\n"), by=by)


def _content(told: Draft, stock: str, start: int) -> str:
    text = snapshot(told.values)
    return f"{stock} {start} {text}" if isinstance(told.values, list) else text


def file_of(sha256: str) -> Path:
    return Path(settings.PAPERS) / f"{sha256}.pdf"


def keep_file(pdf: bytes) -> str:
    """Keep a PDF under its hash, on the disk before its row is; the hash."""
    digest = hashlib.sha256(pdf).hexdigest()
    path = file_of(digest)
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(f".{os.getpid()}.part")
        with part.open("wb") as file:
            file.write(pdf)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    return digest


def read_file(paper: IssuedPaper) -> bytes:
    """The very bytes that were issued. Refusal where the file is gone or was altered."""
    try:
        pdf = file_of(paper.sha256).read_bytes()
    except OSError as gone:
        raise Refusal("The file of this paper is missing from the papers folder: restore it from the backup.") from gone
    if hashlib.sha256(pdf).hexdigest() != paper.sha256:
        raise Refusal("The file of this paper was altered since it was issued: restore it from the backup.")
    return pdf
