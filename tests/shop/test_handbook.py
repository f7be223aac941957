"""The handbook in the program: every page opens, its links and pictures lead somewhere, its sentences are short."""

import re

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.utils.html import escape

from regrind.shop.handbook.pages import INDEX, PAGES, file_of, page_for, read_page

MOST_WORDS = 25
ALL = (INDEX, *PAGES)


@pytest.fixture
def reader(client, bench_hand):
    client.force_login(bench_hand)
    return client


@pytest.mark.django_db
@pytest.mark.parametrize("name", ALL)
def test_every_page_opens_and_its_links_lead_to_pages(reader, name):
    answer = reader.get("/help/" if name == INDEX else f"/help/{name}")
    text = answer.content.decode()
    assert answer.status_code == 200
    assert f"<h1>{escape(read_page(name).title)}</h1>" in text
    assert '.md"' not in text
    for address in set(re.findall(r'href="(/help/[^"]*)"', text)):
        assert reader.get(address).status_code == 200


@pytest.mark.parametrize("name", PAGES)
def test_every_page_has_pictures_and_each_is_a_file_that_is_served(name):
    pictures = read_page(name).pictures
    assert pictures
    for picture in pictures:
        assert finders.find(f"handbook/{picture}"), picture


def test_every_picture_is_shown_and_every_page_is_in_the_index():
    files = {path.name for path in (settings.HANDBOOK / "pictures").iterdir()}
    assert files == {picture for name in PAGES for picture in read_page(name).pictures}
    index = file_of(INDEX).read_text("utf-8")
    assert all(f"({name}.md)" in index for name in PAGES)
    assert {path.stem for path in settings.HANDBOOK.glob("*.md")} == set(ALL)


@pytest.mark.parametrize("name", ALL)
def test_sentences_have_at_most_25_words(name):
    text = re.sub(r"!\[[^\]]*\]\([^)]*\)", "", file_of(name).read_text("utf-8"))
    text = re.sub(r"\]\([^)]*\)|[*`\[]", "", text)
    blocks = re.split(r"\n\s*\n|\n(?=[-#]|\d+\.)", text)
    sentences = [one for block in blocks for one in re.split(r"(?<=[.:;?!])\s+", block.replace("\n", " "))]
    long = [one for one in sentences if len(one.split()) > MOST_WORDS]
    assert not long


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "page"),
    [
        ("/", "/help/"),
        ("/bench/", "/help/a-day-at-the-bench"),
        ("/calculators/", "/help/a-day-at-the-bench"),
        ("/receiving/", "/help/receive-a-box"),
    ],
)
def test_the_help_link_opens_the_page_that_fits(reader, address, page):
    assert f'class="help" href="{page}"' in reader.get(address).content.decode()


def test_each_room_has_its_page():
    names = ("office:page", "office:rates", "review:families", "shop:settings", "receiving:new", "bench:plan", "")
    assert [page_for(name) for name in names] == [
        "return-a-box",
        "the-owners-review",
        "the-owners-review",
        "set-up-the-shop",
        "receive-a-box",
        "a-day-at-the-bench",
        INDEX,
    ]
