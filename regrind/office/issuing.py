"""Issuing papers: the snapshot and the PDF are stored; a reprint serves the same file."""

import hashlib
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils import timezone

from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.files.file_references import store_file
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings

from .models import IssuedPaper, file_of
from .papers.drafts import ADDRESS, BILLS, KINDS, LABELS, STOCKED, Draft, Stock, canonical, draft, labelled_pieces
from .tool_page.codes import give_codes, switched_on

__all__ = [
    "ADDRESS",
    "BILLS",
    "KINDS",
    "LABELS",
    "STOCKED",
    "Prepared",
    "Stock",
    "draft",
    "find_standing",
    "give_label_codes",
    "issue",
    "keep",
    "prepare",
    "read_file",
    "usual_stock",
]

PAGE = re.compile(rb"/Type\s*/Page\b")


@dataclass(frozen=True)
class Prepared:
    """A paper ready to be issued: an issued one with the same content, or a new one with its file's hash."""

    kind: str
    number: str
    revision: int
    standing: IssuedPaper | None
    fresh: Draft | None = None
    sha256: str = ""
    pages: int = 0


def issue(
    *, by: Person, kind: str, number: str, stock: str = "50x25", start: int = 1, each: bool = False
) -> IssuedPaper:
    """Issue a paper, or find the issued one with the same content. Changed content makes the next revision.

    kind: one of KINDS. number: as `papers.drafts.draft`. stock, start, each: for labels and tags. Http404 where there
    is no such number, Refusal where there is nothing to print, Conflict where somebody issued one meanwhile.
    """
    give_label_codes(by=by, kind=kind, number=number)
    return keep(by=by, prepared=prepare(kind, number, Stock(stock, start, each)))


def give_label_codes(*, by: Person, kind: str, number: str) -> None:
    """Before the labels of followed tools are drawn: their codes, where the shop has tools' pages."""
    if kind == "label" and switched_on():
        give_codes(by=by, pieces=labelled_pieces(as_printed(number)))


def prepare(kind: str, number: str, stock: Stock) -> Prepared:
    """Draw a paper outside any transaction, its file on the disk; see `issue`."""
    number = as_printed(number)
    standing = find_standing(kind, number, stock)
    if standing is not None:
        return Prepared(kind, number, standing.revision, standing)
    if not shop_settings().named:
        raise Refusal("Papers carry the shop's name, and it has none yet. The owner writes it in the shop's settings.")
    newest = _issued(kind, number).first()
    revision = newest.revision + 1 if newest else 1
    fresh = draft(kind, number, stock=stock, revision=revision)
    try:
        pdf = fresh.draw()
    except ValueError as error:  # counts of the paper that do not add up
        raise Refusal(f"It cannot be printed now: {error}.") from error
    return Prepared(kind, number, revision, None, fresh, keep_file(pdf), len(PAGE.findall(pdf)))


def find_standing(kind: str, number: str, stock: Stock) -> IssuedPaper | None:
    """The issued paper with the content of the record now, on this stock where it is a label; None where none has it.

    Http404 and Refusal as `issue`.
    """
    number = as_printed(number)
    issued = _issued(kind, number)
    if kind in STOCKED:
        issued = issued.filter(snapshot__endswith=f'"stock":{canonical_stock(stock)}}}')
    last = issued.first()
    if last is None or kind in BILLS:  # a bill never changes: it is what was printed first
        return last
    again = draft(kind, number, stock=stock, revision=last.revision, dated=timezone.localdate(last.issued_at))
    return last if _own_content(again.snapshot) == _own_content(last.snapshot) else None


def as_printed(number: str) -> str:
    """A number as papers print it, `0417-03` as `417-3`: one paper has one row of revisions however it is asked for."""
    return re.sub(r"(?<![0-9])0+(?=[0-9])", "", number)


def _issued(kind: str, number: str) -> QuerySet[IssuedPaper]:
    """The issued revisions of a paper, the newest first."""
    return IssuedPaper.objects.filter(kind=kind, number=number).order_by("-revision")


def _own_content(snapshot: str) -> str:
    """A snapshot without what other boxes change: the savings of all the customer's tools are those of the day, and a
    later box makes no new revision of an earlier report."""
    content = json.loads(snapshot)
    if isinstance(content["paper"], dict):
        content["paper"].pop("saved", None)
    return canonical(content)


def usual_stock(kinds: Sequence[str] = LABELS) -> str:
    """The label stock that the shop printed these kinds on last: its printer is loaded with it."""
    last = IssuedPaper.objects.filter(kind__in=kinds).order_by("-issued_at", "-pk").first()
    if last:
        return str(json.loads(last.snapshot)["stock"]["key"])
    if ADDRESS in kinds:
        return "4x6" if shop_settings().unit == "in" else "A6"
    return Stock().key


def canonical_stock(stock: Stock) -> str:
    return canonical({"each": stock.each, "key": stock.key, "start": stock.start})


def keep(*, by: Person, prepared: Prepared) -> IssuedPaper:
    """Record that a prepared paper was issued, and by whom. Conflict where its revision was taken meanwhile."""
    fresh = prepared.fresh
    if prepared.standing is not None or fresh is None:
        assert prepared.standing is not None
        return prepared.standing
    with event(by, "paper issued", why=f"{prepared.kind} {prepared.number}"):
        if fresh.batch is not None:
            type(fresh.batch).objects.select_for_update(no_key=True).get(pk=fresh.batch.pk)
        if IssuedPaper.objects.filter(
            kind=prepared.kind, number=prepared.number, revision__gte=prepared.revision
        ).exists():
            raise Conflict(f"Changed by someone else: revision {prepared.revision} was just issued. Print again.")
        return IssuedPaper.objects.create(
            kind=prepared.kind,
            number=prepared.number,
            revision=prepared.revision,
            batch=fresh.batch,
            line=fresh.line,
            piece=fresh.piece,
            snapshot=fresh.snapshot,
            sha256=prepared.sha256,
            pages=prepared.pages,
            by=by,
        )


def keep_file(pdf: bytes) -> str:
    """Keep a PDF under its hash, on the disk before its row is; returns the hash."""
    digest = hashlib.sha256(pdf).hexdigest()
    store_file(file_of(digest), pdf)
    return digest


def read_file(paper: IssuedPaper) -> bytes:
    """The bytes that were issued. Refusal where the file is missing or was changed."""
    try:
        pdf = file_of(paper.sha256).read_bytes()
    except OSError as gone:
        raise Refusal("The file of this paper is missing from the papers folder: restore it from the backup.") from gone
    if hashlib.sha256(pdf).hexdigest() != paper.sha256:
        raise Refusal("The file of this paper was changed after it was issued: restore it from the backup.")
    return pdf
