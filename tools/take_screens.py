"""Screenshots of the demo shop's screens, kept small under docs/screens.

    python -m tools.take_screens [--to FOLDER] [--device tablet|phone|desk] [NAME ...]

Starts the demo in a folder of its own, signs in as the owner, visits each address below and stops the demo. The
addresses hold figures of the demo that its seed fixes; {waiting} and the like are looked up on the first page.
"""
from __future__ import annotations

import argparse
import io
import re
import tempfile
from pathlib import Path
from typing import Any

from tools.environment import ROOT
from tools.parts import find_chromium
from tools.try_demo import await_address, start_demo

DEVICES: dict[str, dict[str, Any]] = {
    "tablet": {"viewport": {"width": 1280, "height": 800}, "has_touch": True},
    "phone": {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "has_touch": True},
    "desk": {"viewport": {"width": 1440, "height": 900}},
}
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-sync", "--disable-component-update", "--disable-dev-shm-usage", "--font-render-hinting=none"]


def pages(page) -> dict[str, str]:
    """Name -> address, with numbers of lines in each state read from the home page."""
    page.goto("/")
    links = re.findall(r'href="(/bench/(\d+-\d+)/(inspect|plan|grind|check))"', page.content())
    state = {what: number for _, number, what in links}
    batch = re.search(r'href="/receiving/(\d+)/?"', page.content())
    number = batch.group(1) if batch else next(iter(state.values())).split("-")[0]
    found = {"today": "/", "search": "/search?q=1/4", "batches": "/receiving/", "batch": f"/receiving/{number}/",
             "receive": "/receiving/new", "office": "/office/", "office-batch": f"/office/{number}/",
             "families": "/review/", "book": "/bench/book/", "shop": "/shop/settings", "people": "/shop/people"}
    found |= {what: f"/bench/{line}/{what}" for what, line in state.items()}
    found |= {"line": f"/bench/{next(iter(state.values()))}/"} if state else {}
    return found


def sign_in(page) -> None:
    page.goto("/shop/sign-in")
    page.locator("form[action$='/demo'] button.next").first.click()
    page.wait_for_url("**/")


def shoot(browser, address: str, device: str, names: list[str], folder: Path) -> None:
    context = browser.new_context(base_url=address, reduced_motion="reduce", **DEVICES[device])
    page = context.new_page()
    page.goto("/shop/sign-in")
    if not names or "sign-in" in names:
        save(page, folder / f"sign-in-{device}.png")
    sign_in(page)
    for name, where in pages(page).items():
        if names and name not in names:
            continue
        answer = page.goto(where)
        if answer is None or answer.status != 200:
            raise SystemExit(f"{where} answers {answer.status if answer else 'nothing'}")
        save(page, folder / f"{name}-{device}.png")
    context.close()


def save(page, path: Path) -> None:
    """A full-page picture of few colours: the screens are line art, so 64 colours lose nothing that is seen."""
    from PIL import Image

    picture = Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB")
    if picture.height > 2400:
        picture = picture.crop((0, 0, picture.width, 2400))
    picture.quantize(64).save(path, optimize=True)
    print(f"{path.name}: {path.stat().st_size // 1024} kB")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("names", nargs="*")
    asked.add_argument("--to", type=Path, default=ROOT / "docs" / "screens")
    asked.add_argument("--device", choices=[*DEVICES], action="append")
    options = asked.parse_args()
    options.to.mkdir(parents=True, exist_ok=True)
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory(prefix="regrind-screens-", ignore_cleanup_errors=True) as folder:
        demo = start_demo(folder)
        try:
            address = await_address(demo)
            if address is None:
                raise SystemExit("the demo did not start")
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=find_chromium(), headless=True, args=FLAGS)
                for device in options.device or DEVICES:
                    shoot(browser, address, device, options.names, options.to)
                browser.close()
        finally:
            demo.terminate()
            demo.wait(20)


if __name__ == "__main__":
    main()
