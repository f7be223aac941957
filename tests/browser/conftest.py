"""Pages in Chromium, as a tablet, a phone and a desk show them. Script errors and refused content fail."""

import os
from pathlib import Path

import pytest

from scripts.parts import find_chromium, lacking_chromium

FLAGS = [
    "--no-sandbox",  # CI runs as root
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
    "--disable-component-update",
    "--disable-dev-shm-usage",
    "--font-render-hinting=none",
    # Nothing but this machine can be reached, so a page that loads from outside fails its test.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
]
COMMON = {"locale": "en-GB", "timezone_id": "Europe/Paris", "reduced_motion": "reduce"}
TOUCH = COMMON | {"is_mobile": True, "has_touch": True}
DEVICES = {
    "tablet": TOUCH | {"viewport": {"width": 1280, "height": 800}, "device_scale_factor": 1.5},
    "portrait": TOUCH | {"viewport": {"width": 800, "height": 1280}, "device_scale_factor": 1.5},
    "phone": TOUCH | {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 3},
    "sideways": TOUCH | {"viewport": {"width": 844, "height": 390}, "device_scale_factor": 3},
    "zoomed": TOUCH | {"viewport": {"width": 512, "height": 384}, "device_scale_factor": 2},  # 1024 × 768 at 200 %
    "desk": COMMON | {"viewport": {"width": 1440, "height": 900}},
}
PATIENCE_MS = 60_000  # the machine may be busy with other work; who waits for what is there waits no longer
AXE = Path(__file__).parent / "axe" / "axe-4.14.1.min.js"
CONTRAST = {"type": "rule", "values": ["color-contrast"]}  # all that other colours can change
WCAG_22_AA = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


def pytest_configure(config):
    config.addinivalue_line("markers", "both: a browser test that runs on PostgreSQL as well as on SQLite")
    config.addinivalue_line("markers", "long: begins before others, so that no worker is still at it at the end")


@pytest.hookimpl(wrapper=True, tryfirst=True)  # before -m chooses, and after all have put them in order
def pytest_collection_modifyitems(items):
    """All tests in this folder are browser tests; none can be forgotten."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)
    result = yield
    items.sort(key=lambda item: item.get_closest_marker("long") is None)
    return result


@pytest.fixture(scope="session")
def chromium():
    lacking = lacking_chromium()
    if lacking and os.environ.get("CI"):
        pytest.fail(lacking)
    if lacking:
        pytest.skip(lacking)
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_MS)
    # Playwright runs an event loop in this thread, which Django would take for an asynchronous view.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    os.environ.setdefault("DJANGO_LIVE_TEST_SERVER_ADDRESS", "127.0.0.1")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_chromium(), headless=True, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def open_device(chromium, live_server):
    """Call with a name of DEVICES (and options for Playwright's context): a page of its own, nobody signed in.

    At the end of the test every page opened this way must have had no script error, no refused content and no
    request that left this machine.
    """
    contexts, faults = [], []

    def open_page(name, **options):
        alone = {"base_url": live_server.url, "service_workers": "block"}  # the network's answers, and no stored ones
        context = chromium.new_context(**alone | DEVICES[name] | options)
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        watch(context, faults)
        return context.new_page()

    yield open_page
    for context in contexts:
        context.close()
    assert not faults, "\n".join(faults)


def watch(context, faults):
    context.on("weberror", lambda problem: faults.append(f"script error: {problem.error}"))
    context.on("console", lambda message: note_refusal(message, faults))
    context.on("request", lambda request: note_stranger(request.url, faults))


def note_refusal(message, faults):
    if "Content Security Policy" in message.text:
        faults.append(f"refused: {message.text}")


def note_stranger(url, faults):
    if not url.startswith(("http://127.0.0.1:", "http://localhost:", "data:", "blob:", "about:")):
        faults.append(f"loads from outside: {url}")


@pytest.fixture
def tablet(open_device):
    return open_device("tablet")


@pytest.fixture
def portrait(open_device):
    """The tablet stood on end."""
    return open_device("portrait")


@pytest.fixture
def phone(open_device):
    return open_device("phone")


@pytest.fixture
def desk(open_device):
    return open_device("desk")


# A control that lies half under the bar or the pad is small only where the page happens to stand: a target counts as
# too small where it still is one once it is scrolled to the top.
# Loading style sheets and sound anew is for rules that are experimental or about sound.
RUN_AXE = """async only => {
    const quick = {resultTypes: ["violations"], preload: false};
    const found = await axe.run(document, {...quick, runOnly: only});
    for (const rule of found.violations.filter(each => each.id === "target-size")) {
        const small = [];
        for (const node of rule.nodes) {
            document.querySelector(node.target[0]).scrollIntoView({block: "start"});
            const again = await axe.run(document, {...quick, runOnly: {type: "rule", values: ["target-size"]}});
            const still = again.violations.flatMap(each => each.nodes).some(one => one.target[0] === node.target[0]);
            if (still) small.push(node);
        }
        rule.nodes = small;
    }
    found.violations = found.violations.filter(rule => rule.nodes.length);
    return found;
}"""


@pytest.fixture
def axe():
    """Call with a page: what axe finds against WCAG 2.2 AA, a line for each rule; none is what you want."""
    source = AXE.read_text(encoding="utf-8")

    def check(page, only=WCAG_22_AA):
        if not page.evaluate("'axe' in window"):
            page.evaluate(source)
        found = page.evaluate(RUN_AXE, only)
        return [
            f"{rule['id']} ({rule['impact']}): " + "; ".join(node["html"][:120] for node in rule["nodes"])
            for rule in found["violations"]
        ]

    return check
