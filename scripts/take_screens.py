"""Screenshots of the demo shop's screens: for docs/screens and for the handbook.

    python -m scripts.take_screens                 the chosen few, for docs/screens and docs/handbook/pictures
    python -m scripts.take_screens --to FOLDER [--device tablet|phone|desk] [NAME ...]      any page, as long as it is

Starts the demo in a folder of its own, signs in as the owner, visits the pages and stops the demo. Lines, boxes and
tools are looked up on its pages, by the state that they are in.
"""

from __future__ import annotations

import argparse
import io
import re
import tempfile
from collections.abc import Callable, Collection
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from scripts.environment import ROOT
from scripts.parts import find_chromium
from scripts.try_demo import await_address, start_demo

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

DEVICES: dict[str, dict[str, Any]] = {
    "tablet": {"viewport": {"width": 1280, "height": 800}, "has_touch": True},
    "phone": {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "has_touch": True},
    "desk": {"viewport": {"width": 1440, "height": 900}},
}
HIGHEST, CROPPED, CROPPED_IN_HANDBOOK = 2400, 1280, 900  # px of a page: to review it, in docs/screens, in docs/handbook
CHOSEN = {
    "tablet": ["today", "batch", "inspect", "plan", "setup-card", "check", "life", "book-stylus"],
    "phone": ["bench", "plan"],
    "desk": ["families", "office"],
}
HANDBOOK = {
    "today": "today",
    "batch": "batch-received",
    "line-received": "line-received",
    "inspect": "inspect",
    "plan": "plan",
    "setup-card": "setup-card",
    "check": "check",
    "office": "office",
    "prices": "prices",
    "papers": "papers",
    "parcel": "parcel",
    "families": "families",
    "review": "family",
    "rates": "rates",
    "shop": "shop",
    "people": "people",
}  # page -> picture of the handbook, on the tablet
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
    "--disable-component-update",
    "--disable-dev-shm-usage",
    "--font-render-hinting=none",
]


FIXED = {
    "today": "/",
    "search": "/search?q=1/4",
    "batches": "/receiving/",
    "receive": "/receiving/new",
    "customers": "/receiving/customers",
    "customer": "/receiving/customers/2",
    "sent-parcel": "/office/35/parcels/1",
    "kinds": "/receiving/families",
    "bench": "/bench/",
    "at_coater": "/bench/at-coater",
    "setups": "/bench/setups",
    "office": "/office/",
    "rates": "/office/rates",
    "quotes": "/office/48/quotes",
    "quote": "/office/48/quotes/1",
    "quote-answered": "/office/54/quotes/1",
    "mail": "/office/48/mail",
    "outbox": "/office/mail",
    "families": "/review/",
    "saved": "/review/customers",
    "book": "/calculators/",
    "gauges": "/bench/gauges",
    "wheels": "/bench/wheels",
    "holdings": "/bench/holdings",
    "shop": "/shop/settings",
    "people": "/shop/people",
    "tablets": "/shop/tablets",
}
FOLLOWED = "MC-0417"  # the demo's tool that has come back several times
STEPS = {
    "inspect": "/bench/(LINE)/inspect",
    "plan": "/bench/(LINE)/plan",
    "grind": "/bench/(LINE)/grind",
    "check": "/bench/(LINE)/check",
    "answer": "/office/(LINE)/answer",
    "parcel": "/office/(BATCH)/",
}


def pages(page: Page) -> dict[str, str]:
    """Name -> address: the fixed ones, and those of the lines that the home page shows in each state."""
    home = read(page, "/")
    state = {name: number for name, address in STEPS.items() if (number := first(home, address))}
    state |= {"grind": every(home, STEPS["grind"])[-1]}  # the drills, a rush, come first and have no settings
    addresses = FIXED | {
        name: STEPS[name].replace("(LINE)", number) for name, number in state.items() if name != "parcel"
    }
    if "parcel" in state:
        addresses |= {
            "office-batch": f"/office/{state['parcel']}/",
            "parcel": f"/office/{state['parcel']}/parcel",
            "papers": f"/office/{state['parcel']}/papers",
            "prices": f"/office/{state['parcel']}/prices",
        }
    if "plan" in state:
        line = state["plan"]
        addresses |= {
            "batch": f"/receiving/{line.split('-')[0]}/",
            "line-received": f"/receiving/line/{line}",
            "line": f"/bench/{line}/",
        }
    if "grind" in state:
        addresses |= {
            "setup-card": f"/bench/{state['grind']}/setup-card",
            "explain": f"/bench/{state['grind']}-1/explain",
        }
    return (
        addresses
        | looked_up(page)
        | {"quote-customer": customer_page(page)}
        | {f"book-{name}": address for name, address in book(page).items()}
    )


def looked_up(page: Page) -> dict[str, str]:
    """The pages of one customer, one family, one checked line and the tool that came most often."""
    places = {
        "customer": ("/receiving/customers", r'"(/receiving/customers/\d+)"'),
        "kind": ("/receiving/families", r'"(/receiving/families/\d+)"'),
        "life": (f"/search?q={FOLLOWED}", r'"(/search\?q=[A-Z0-9]{6})"'),
    }
    addresses = {name: first(read(page, where), pattern) for name, (where, pattern) in places.items()}
    if family := first(read(page, "/review/?sort=received"), r'href="(\d+)\?'):
        addresses["review"] = f"/review/{family}"
    return {name: address for name, address in addresses.items() if address}


def customer_page(page: Page) -> str:
    """The page that a customer opens for a quote that waits, by a link made for it."""
    page.goto(FIXED["quote"])
    page.get_by_role("button", name="Make a link").or_(page.get_by_role("button", name="Make a new link")).click()
    return urlsplit(str(page.locator("a.link").get_attribute("href"))).path


def book(page: Page) -> dict[str, str]:
    addresses = re.findall(r'"(/calculators/[a-z-]+)"', read(page, "/calculators/"))
    return {where.rsplit("/", 1)[1]: where for where in addresses}


def read(page: Page, address: str) -> str:
    page.goto(address)
    return str(page.content())


def every(text: str, pattern: str) -> list[str]:
    """The addresses in a page that the pattern names, with LINE and BATCH for a line's and a batch's number."""
    plain = pattern.replace("LINE", r"\d+-\d+").replace("BATCH", r"\d+")
    return re.findall(plain if '"' in plain else f'"{plain}"', text)


def first(text: str, pattern: str) -> str:
    return next(iter(every(text, pattern)), "")


def sign_in(page: Page) -> None:
    page.goto("/shop/sign-in")
    page.locator("form[action$='/demo'] button.next").first.click()
    page.wait_for_url("**/")


def shoot(
    browser: Browser,
    address: str,
    device: str,
    names: Collection[str],
    path_of: Callable[[str], Path],
    highest: int,
) -> None:
    """Pictures of the pages of these names, of all where there are none. path_of: a page's file."""
    context = browser.new_context(base_url=address, reduced_motion="reduce", **DEVICES[device])
    page = context.new_page()
    page.goto("/shop/sign-in")
    if not names or "sign-in" in names:
        save(page, path_of("sign-in"), highest)
    sign_in(page)
    for name, where in pages(page).items():
        if names and name not in names:
            continue
        answer = page.goto(where)
        if answer is None or answer.status != 200:
            raise SystemExit(f"{where} answers {answer.status if answer else 'nothing'}")
        save(page, path_of(name), highest)
    context.close()


def named(folder: Path, device: str, name: str) -> Path:
    return folder / f"{name}-{device}.png"


def handbook_picture(name: str) -> Path:
    return ROOT / "docs" / "handbook" / "pictures" / f"{HANDBOOK.get(name, name)}.png"


def save(page: Page, path: Path, highest: int) -> None:
    """A picture of at most `highest` px of the page. Screens are line art: 64 colours lose nothing that is seen."""
    from PIL import Image

    size = page.viewport_size
    assert size, "every device above has a viewport"
    tall = min(max(page.evaluate("document.documentElement.scrollHeight"), size["height"]), highest)
    page.set_viewport_size({"width": size["width"], "height": tall})  # a bar that sticks then lies at the end
    picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    page.set_viewport_size(size)
    picture.quantize(64).save(path, optimize=True)
    print(f"{path.name}: {path.stat().st_size // 1024} kB")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("names", nargs="*")
    asked.add_argument("--to", type=Path)
    asked.add_argument("--device", choices=[*DEVICES], action="append")
    options = asked.parse_args()
    folder = options.to or ROOT / "docs" / "screens"
    folder.mkdir(parents=True, exist_ok=True)
    wanted = dict.fromkeys(options.device or DEVICES, options.names) if options.to or options.names else CHOSEN
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory(prefix="regrind-screens-", ignore_cleanup_errors=True) as data:
        demo = start_demo(data)
        try:
            address = await_address(demo)
            if address is None:
                raise SystemExit("the demo did not start")
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=find_chromium(), headless=True, args=FLAGS)
                for device, names in wanted.items():
                    path_of = partial(named, folder, device)
                    shoot(browser, address, device, names, path_of, HIGHEST if options.to else CROPPED)
                if wanted is CHOSEN:
                    shoot(browser, address, "tablet", HANDBOOK, handbook_picture, CROPPED_IN_HANDBOOK)
                browser.close()
        finally:
            demo.terminate()
            demo.wait(20)


if __name__ == "__main__":
    main()
