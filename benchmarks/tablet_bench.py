"""How a slow tablet answers a hand: from the press to the paint, from the save to the next page, and what shifts.

    python -m benchmarks.tablet_bench [--tools 20] [--slower 4] [--delay-ms 100]

A demo shop of its own gets a box of like tools, and they are looked at one by one on the number pad, in Chromium with
its processor slowed down and each request delayed. Two runs of the same work: at full speed and as the slow tablet, so
that the ratio says what the tablet costs. press: from a tap on a key until what it wrote is painted, by the browser's
own event timing (in steps of 8 ms); saved: from the tap on the button until the server's word that it is saved;
next: until the next tool's page is first painted, a round trip later; shift: the browser's layout shift score of the
worst page, taps left out. Times are this machine's.
"""
# ruff: noqa: T201

from __future__ import annotations

import argparse
import re
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from scripts.parts import find_chromium
from scripts.take_screens import FLAGS
from scripts.try_demo import await_address, start_demo

TABLET: dict[str, Any] = {"viewport": {"width": 1280, "height": 800}, "has_touch": True, "is_mobile": True}
WATCH = """
window.presses = []; window.shifted = 0;
new PerformanceObserver(list => { for (const e of list.getEntries())
    if (e.interactionId) window.presses.push([e.interactionId, e.duration]); })
    .observe({type: "event", durationThreshold: 16, buffered: true});
new PerformanceObserver(list => { for (const e of list.getEntries())
    if (!e.hadRecentInput) window.shifted += e.value; })
    .observe({type: "layout-shift", buffered: true});
addEventListener("pointerup", e => { if (e.target.closest("button.next"))
    sessionStorage.pressed = performance.timeOrigin + e.timeStamp; }, true);
"""
PAINTED = """() => { const paint = performance.getEntriesByName("first-contentful-paint")[0];
    return paint ? performance.timeOrigin + paint.startTime - Number(sessionStorage.pressed) : null; }"""
PRESSED = "Number(sessionStorage.pressed)"
ENTRIES = (("diameter", "7 point 9 9 mm"), ("damage_depth", "point 0 8 mm"), ("reach", "6 point 5 mm"))


def make_line(page: Any, tools: int) -> str:
    """Log a box of like tools; the number of its line."""
    page.goto("/receiving/new")
    page.locator("#id_customer").select_option(index=1)
    press(page, page.locator("main button.next"))
    page.locator("[name=wording]").fill(f"{tools} x 8 mm 4fl carbide 38° AlCrN")
    press(page, page.locator("main form:has([name=wording]) button").first)
    press(page, page.locator("main button.next").first)
    match = re.search(r"/receiving/(\d+)", page.url)
    assert match, page.url
    return f"{match[1]}-1"


def press(page: Any, button: Any) -> None:
    """Press a button and wait for the page it leads to."""
    with page.expect_event("load"):
        button.click()


def look_at(page: Any, line: str, tools: int) -> dict[str, list[float]]:
    """Look at each tool on the pad; milliseconds of every press and save, and each page's shift."""
    times: dict[str, list[float]] = {"press": [], "saved": [], "next": [], "shift": []}
    page.goto(f"/bench/{line}/inspect?piece={first_piece(page, line)}")
    for _ in range(tools):
        for field, keys in ENTRIES:
            page.locator(f"#id_{field}").tap()
            for key in keys.split():
                page.locator(f".pad .key-{key}").tap()
        page.wait_for_timeout(400)  # what a hand takes to reach for the button
        times["press"] += longest(page.evaluate("window.presses"))
        times["shift"].append(page.evaluate("window.shifted"))
        with page.expect_event("load"), page.expect_response(is_save_of(page.url)) as posted:
            page.locator("button.next").last.tap()
        assert not page.locator("main [role=alert]").count(), page.locator("main").inner_text()
        page.wait_for_function(PAINTED)
        sent = posted.value.request.timing
        times["saved"].append(sent["startTime"] + sent["responseStart"] - page.evaluate(PRESSED))
        times["next"].append(page.evaluate(PAINTED))
    return times


def is_save_of(address: str) -> Callable[[Any], bool]:
    return lambda answer: answer.request.method == "POST" and answer.url == address


def first_piece(page: Any, line: str) -> str:
    page.goto(f"/bench/{line}/inspect")
    value = page.locator("[name=pieces]").first.get_attribute("value")
    assert value
    return value


def longest(events: list[list[float]]) -> list[float]:
    """A press is a few events with one number: the longest of them until the paint. Below 16 ms none is told."""
    spent: dict[float, float] = {}
    for number, duration in events:
        spent[number] = max(duration, spent.get(number, 0.0))
    return list(spent.values())


def share(values: list[float], part: float) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))]


def run(browser: Any, address: str, tools: int, slower: float, delay_ms: float) -> dict[str, list[float]]:
    context = browser.new_context(base_url=address, locale="en-GB", **TABLET)
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto("/")
    press(page, page.locator("button.next[name=person]").first)
    line = make_line(page, tools)
    page.add_init_script(WATCH)
    devtools = context.new_cdp_session(page)
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": slower})
    devtools.send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": delay_ms, "downloadThroughput": -1, "uploadThroughput": -1},
    )
    times = look_at(page, line, tools)
    context.close()
    return times


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--tools", type=int, default=20)
    parser.add_argument("--slower", type=float, default=4, help="how many times slower the tablet's processor is")
    parser.add_argument("--delay-ms", type=float, default=100, help="of each request")
    asked = parser.parse_args()
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder, sync_playwright() as playwright:
        demo = start_demo(str(Path(folder)))
        try:
            address = await_address(demo)
            assert address, "the demo did not start"
            browser = playwright.chromium.launch(executable_path=find_chromium(), args=FLAGS)
            here = run(browser, address, asked.tools, 1, 0)
            slow = run(browser, address, asked.tools, asked.slower, asked.delay_ms)
        finally:
            demo.terminate()
            demo.wait(30)
    print(f"{'ms':<8}{'here p50':>10}{'p95':>8}{'slow p50':>10}{'p95':>8}{'p95 slow/here':>15}{'number':>8}")
    for name in ("press", "saved", "next"):
        a, b = here[name], slow[name]
        print(
            f"{name:<8}{share(a, 0.5):>10.0f}{share(a, 0.95):>8.0f}{share(b, 0.5):>10.0f}{share(b, 0.95):>8.0f}"
            f"{share(b, 0.95) / share(a, 0.95):>15.2f}{len(b):>8}"
        )
    print(f"shift, the worst page: {max(slow['shift']):.3f}")


if __name__ == "__main__":
    main()
