"""The handbook's Markdown files as pages: rendered here, read without a network."""

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.templatetags.static import static
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from markdown import Markdown

PAGES = ("receive-a-box", "a-day-at-the-bench", "return-a-box", "the-owners-review", "set-up-the-shop")
INDEX = "README"
PICTURE = re.compile(r'src="pictures/([a-z-]+\.png)"')
LINK = re.compile(r'href="([a-z-]+|README)\.md"')


@dataclass(frozen=True)
class HandbookPage:
    """A page: its title (the file's first heading), the HTML below it, and the names of the pictures in it."""

    title: str
    body: SafeString
    pictures: tuple[str, ...]


def file_of(name: str) -> Path:
    """The Markdown file of a page."""
    return Path(settings.HANDBOOK) / f"{name}.md"


@lru_cache(maxsize=len(PAGES) + 1)
def read_page(name: str) -> HandbookPage:
    """The page of a name in PAGES, or the index. OSError where its file is missing."""
    title, _, text = file_of(name).read_text("utf-8").partition("\n")
    html = Markdown(extensions=["tables"]).convert(text)
    pictures = tuple(PICTURE.findall(html))
    html = PICTURE.sub(lambda match: f'src="{static(f"handbook/{match[1]}")}"', html)
    html = LINK.sub(lambda match: f'href="{address_of(match[1])}"', html)
    return HandbookPage(title.removeprefix("# "), mark_safe(html), pictures)  # noqa: S308 (our own files)


def address_of(name: str) -> str:
    """The address of a page, or of the index."""
    return reverse("handbook:index") if name == INDEX else reverse("handbook:page", args=[name])


def page_for(url_name: str) -> str:
    """The handbook page that fits a page of the program. url_name: as `reverse` takes it, "bench:plan"."""
    room, _, name = url_name.partition(":")
    if room == "review" or name.startswith("rates"):
        return "the-owners-review"
    return {
        "receiving": "receive-a-box",
        "bench": "a-day-at-the-bench",
        "calculators": "a-day-at-the-bench",
        "office": "return-a-box",
        "shop": "set-up-the-shop",
    }.get(room, INDEX)
