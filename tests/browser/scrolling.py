"""A tablet on its side and upright, and how far its pages are scrolled."""

from playwright.sync_api import Page

SIZES = {"on its side": {"width": 1024, "height": 768}, "upright": {"width": 820, "height": 1180}}
NOTE_SCROLL = """addEventListener('scroll', () => sessionStorage.setItem('scrolled',
    Math.max(scrollY, sessionStorage.getItem('scrolled') || 0)))"""


def scrolled_px(page: Page) -> int:
    """How far down any page of this tab has been scrolled, by hand or to bring into sight what was touched."""
    page.wait_for_timeout(50)  # a scroll is noted with the next frame
    return page.evaluate("Number(sessionStorage.getItem('scrolled') || 0)")
