"""One person at one tablet: goes from page to page, types and chooses, and what was entered is counted."""

import io
import re
from contextlib import AbstractContextManager

from playwright.sync_api import APIResponse, Locator, Page, Response, Route
from pypdf import PdfReader

PASSWORD = "a long password"  # as the fixtures of people have it
SPACES = re.compile("[ \u00a0\u202f\n]+")


class Hand:
    """What one types, chooses and presses.

    An entry is a field filled, a box ticked or unticked, or a choice made in a list; the button that sends a page is
    counted apart, and what the page fills in by itself is not counted.
    """

    def __init__(self, page: Page) -> None:
        self.page, self.entries, self.presses, self.status = page, 0, 0, 0
        page.on("response", self._note)

    def _note(self, response: Response) -> None:
        """How the newest page was answered: a redirect's own answer comes before that of the page it leads to."""
        if response.request.is_navigation_request():
            self.status = response.status

    def open(self, where: str) -> None:
        self.page.goto(where)
        assert self.status == 200, f"{where} answers {self.status}"

    def sign_in(self, name: str) -> None:
        self.open("/shop/sign-in")
        self.fill(name=name, password=PASSWORD)
        self.press("Sign in")

    def field(self, name: str) -> Locator:
        """A field by its name, in an open part and fold."""
        return self._unfolded(self.page.locator(f"[name='{name}']:not([type=hidden])"))

    def _unfolded(self, found: Locator) -> Locator:
        if not found.first.is_visible():
            self._open_part(found)
            fold = self.page.locator("details", has=found).last
            if fold.count() and not fold.evaluate("fold => fold.open"):
                fold.locator("summary").first.click()
        return found

    def _open_part(self, found: Locator) -> None:
        """The part of the inspection's page that holds it."""
        part = self.page.locator(".part", has=found)
        if part.count() and not part.first.is_visible():
            key = re.search(r"part-(\w+)", str(part.first.get_attribute("class")))
            self.page.locator(f"label:has(#part-{key[1]})").click()

    def fill(self, **fields: str) -> None:
        for name, text in fields.items():
            self.field(name).fill(text)
            self.entries += 1

    def choose(self, **fields: str) -> None:
        """One of a list, by how its words begin; or one of a row of radio buttons, by its value."""
        for name, value in fields.items():
            found = self.field(name)
            if found.first.evaluate("field => field.tagName") == "SELECT":
                shown = found.locator("option", has_text=re.compile(rf"^\s*{re.escape(value)}"))
                found.select_option(shown.first.get_attribute("value"))
            else:
                self.page.locator(f"[name='{name}'][value='{value}']").check()
            self.entries += 1

    def tick(self, name: str, value: str = "on") -> None:
        self._set(self.field(name).and_(self.page.locator(f"[value='{value}'], :not([value])")), on=True)

    def tick_piece(self, short: str, *, on: bool = True) -> None:
        """A piece by the number on its chip, 2-1."""
        chip = self.page.locator("label", has_text=re.compile(rf"^\s*{short}(?!\d)"))
        self._set(chip.locator("[name='pieces']"), on=on)

    def _set(self, box: Locator, *, on: bool) -> None:
        if box.is_checked() != on:
            box.set_checked(on)
            self.entries += 1

    def only(self, *shorts: str) -> None:
        """Exactly these pieces ticked."""
        for chip in self.page.locator("label", has=self.page.locator("[name='pieces']")).all():
            number = re.search(r"\d+-\d+", chip.inner_text())
            self.tick_piece(number[0], on=number[0] in shorts)

    def press(self, words: str | re.Pattern[str]) -> None:
        """Press a button and wait for the page it leads to."""
        self.presses += 1
        button = self._unfolded(self.page.get_by_role("button", name=words, exact=True, include_hidden=True))
        with self._led_on():
            button.click()
        assert self.status == 200, f"{words}: {self.status}\n{self.text()}"

    def follow(self, words: str) -> None:
        with self._led_on():
            self.page.get_by_role("link", name=words, exact=True).first.click()

    def _led_on(self) -> AbstractContextManager:
        """Waits for another document: what the page notes in its history while it answers as one types is none."""
        return self.page.expect_event("load")

    def text(self) -> str:
        return SPACES.sub(" ", self.page.locator("main").inner_text())

    def figures(self, words: str) -> str:
        """What stands under a heading of the figures."""
        pair = self.page.locator("dl.figures > div", has=self.page.locator("dt", has_text=re.compile(f"^{words}$")))
        return SPACES.sub(" ", pair.first.locator("dd").inner_text())

    def print_paper(self, kind: str, number: str) -> str:
        """Press the button that prints a paper; what the file says, read by a library that did not write it.

        The press is carried on to the file here, so that the browser's own viewer need not open for it.
        """
        answered: list[APIResponse] = []

        def carry_on(route: Route) -> None:
            answered.append(route.fetch())
            route.fulfill(status=204)

        address = f"/office/print/{kind}/{number}"
        self.page.route(f"**{address}", carry_on)
        with self.page.expect_response(lambda response: response.url.endswith(address)):
            self.page.locator(f"form[action='{address}'] button").click()
        self.page.unroute(f"**{address}")
        file = answered[0]
        assert (file.status, file.headers["content-type"]) == (200, "application/pdf"), f"{address}: {file.status}"
        return words(file.body())


def words(pdf: bytes) -> str:
    """All that a paper says; any space is one plain space."""
    return SPACES.sub(" ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))
