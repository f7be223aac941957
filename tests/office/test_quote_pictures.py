"""The pictures of a quote: photos that a person chose, behind the link alone, and the drawing of what is proposed."""

import io
import re

import pytest
from PIL import Image

from regrind.bench.photographs.actions import add_photo
from regrind.office.issuing import draft
from regrind.office.quote_models import QuotePhoto
from regrind.office.quotes import links
from regrind.office.quotes.making import make_quote, revoke_links
from regrind.office.quotes.pictures import LONGEST_PX
from regrind.shop.events import Refusal
from regrind.shop.files import photos
from regrind.shop.models import SignInTry
from regrind.shop.undo import undo
from tests.bench.photo_maker import photo_of, picture

from .conftest import pieces_of, words
from .quotes import quoted

__all__ = ["quoted"]
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def photos_folder(settings, tmp_path):
    settings.MEDIA_ROOT, settings.PAPERS = tmp_path / "photos", tmp_path / "papers"


@pytest.fixture
def shown(quoted, bench_hand, front_desk):
    """A quote of two tools that shows one of the two photos of its first tool, with a new link."""

    def make(number: int = 417):
        asked = quoted(2, number=number)
        line = asked.batch.lines.get()
        chosen, other = (
            photo_of(line, pieces_of(line)[0], by=bench_hand, caption=words, colour=colour)
            for words, colour in (("chipped at the corner", "red"), ("behind it", "blue"))
        )
        asked.quote = make_quote(by=front_desk, batch=asked.batch, photos={chosen.pk})
        asked.__post_init__()
        return asked, chosen, other

    return make


def image_addresses(page: str) -> list[str]:
    return re.findall(r'<img src="([^"]+)"', page)


def test_the_page_shows_the_photo_that_was_chosen_and_the_drawing(shown, client):
    asked, _, _ = shown()
    page = client.get(asked.where).content.decode()
    [address] = image_addresses(page)
    assert address.startswith(f"{asked.where}/photo/")
    assert "1-1: the damage: chipped at the corner" in page
    assert "behind it" not in page
    assert re.search(r'<svg class="drawing" role="img" aria-label="[^"]+"', page)
    got = client.get(address)
    assert (got.status_code, got["Content-Type"], got["Cache-Control"]) == (200, "image/jpeg", "no-store")
    assert "sandbox" in got["Content-Security-Policy"]
    assert not got.cookies
    assert Image.open(io.BytesIO(got.content)).size == (320, 200)


def test_a_large_photo_is_sent_small(shown, client, bench_hand, front_desk):
    asked, _, _ = shown()
    line = asked.batch.lines.get()
    large = photos.redraw_photo(picture(size=(1600, 1200)))
    photos.store(large)
    added = add_photo(by=bench_hand, line=line, piece=None, photo=large, sha256=large.sha256, about="received")
    asked.quote = make_quote(by=front_desk, batch=asked.batch, photos={added.pk})
    asked.__post_init__()
    [address] = image_addresses(client.get(asked.where).content.decode())
    assert max(Image.open(io.BytesIO(client.get(address).content)).size) == LONGEST_PX


def test_a_photo_opens_by_the_link_of_its_own_quote_alone(shown, client, front_desk):
    (asked, _, _), (foreign, _, _) = shown(), shown(418)
    mine, theirs = (QuotePhoto.objects.get(item__quote=one.quote) for one in (asked, foreign))
    nothing = client.get(f"/q/{links.new_token()}")
    for address in (
        f"{asked.where}/photo/{theirs.pk}",
        f"{asked.where}/photo/{mine.pk + theirs.pk + 1}",
        f"/q/{links.new_token()}/photo/{mine.pk}",
    ):
        got = client.get(address)
        assert (got.status_code, got.content, got["Cache-Control"]) == (404, nothing.content, "no-store")
    assert SignInTry.objects.filter(name=links.KEY).count() == 2  # the two links that are none
    assert client.post(f"{asked.where}/photo/{mine.pk}").status_code == 405
    revoke_links(by=front_desk, quote=asked.quote)
    assert client.get(f"{asked.where}/photo/{mine.pk}").status_code == 404


def test_a_photo_that_was_removed_is_gone_from_the_page_and_its_address(shown, client, bench_hand):
    asked, chosen, _ = shown()
    row = QuotePhoto.objects.get()
    undo(by=bench_hand, done=chosen.event)
    assert image_addresses(client.get(asked.where).content.decode()) == []
    assert client.get(f"{asked.where}/photo/{row.pk}").status_code == 404


def test_the_desk_ticks_what_the_customer_sees(quoted, bench_hand, desk):
    asked, other = quoted(1), quoted(1, number=418)
    line, elsewhere = asked.batch.lines.get(), other.batch.lines.get()
    [piece] = pieces_of(line)
    first, second = photo_of(line, piece, by=bench_hand), photo_of(line, by=bench_hand, colour="blue", about="received")
    photo_of(line, piece, by=bench_hand, colour="green", about="as_it_left")
    foreign = photo_of(elsewhere, pieces_of(elsewhere)[0], by=bench_hand, colour="white")
    page = desk.get("/office/417/quotes").content.decode()
    ticked = re.findall(r'name="photos" value="(\d+)"[^>]* checked', page)
    assert ticked == [str(first.pk), str(second.pk)]
    refused = desk.post("/office/417/quotes", "/office/417/quotes", days="30", note="", photos=[str(foreign.pk)])
    assert refused.status_code == 422
    assert "One of these photos was removed meanwhile" in refused.content.decode()
    desk.post("/office/417/quotes", "/office/417/quotes", days="30", note="", photos=[str(second.pk)])
    assert [row.photo_id for row in QuotePhoto.objects.all()] == [second.pk]


def test_more_photos_of_a_line_than_a_phone_takes_are_refused(quoted, bench_hand, front_desk):
    asked = quoted(1)
    line = asked.batch.lines.get()
    many = {photo_of(line, by=bench_hand, colour=(9 * n, 0, 0)).pk for n in range(7)}
    with pytest.raises(Refusal, match="Line 1 has 7 photos ticked"):
        make_quote(by=front_desk, batch=asked.batch, photos=many)


def test_the_paper_has_the_photo_and_the_drawing(shown):
    asked, _, _ = shown()
    text = words(draft("quote", str(asked.quote)).draw())
    assert "chipped at the corner" in text
    assert "Our proposal, drawn" in text
