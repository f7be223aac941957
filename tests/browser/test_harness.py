"""The fixtures of this folder notice what they are there to notice: each fault is planted once."""

import pytest

from . import conftest

POLICY = {"Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src *"}
SERVED = "http://127.0.0.1:9/planted"  # answered by the test itself; nothing listens there


@pytest.fixture
def faults_of(chromium):
    """Call with a page's body (and headers) for the faults that opening it leaves."""
    contexts = []

    def open_body(body, **headers):
        faults, context = [], chromium.new_context()
        contexts.append(context)
        conftest.watch(context, faults)
        context.route(
            SERVED,
            lambda route: route.fulfill(
                body=f"<!doctype html><title>planted</title>{body}", content_type="text/html", headers=headers
            ),
        )
        page = context.new_page()
        page.goto(SERVED)
        page.wait_for_load_state("networkidle")
        return faults

    yield open_body
    for context in contexts:
        context.close()


def test_a_good_page_leaves_no_fault(faults_of):
    assert faults_of("<p>good</p>", **POLICY) == []


def test_a_script_error_is_a_fault(faults_of):
    assert [fault for fault in faults_of("<script>nothing.here()</script>") if "script error" in fault]


def test_content_that_the_policy_refuses_is_a_fault(faults_of):
    assert [fault for fault in faults_of("<script>1</script>", **POLICY) if fault.startswith("refused")]
    assert [fault for fault in faults_of('<p style="color:red">x</p>', **POLICY) if fault.startswith("refused")]


def test_a_request_that_leaves_the_machine_is_a_fault_and_gets_no_answer(faults_of):
    body = '<img src="http://outside.example/x.png" alt="">'
    assert faults_of(body, **POLICY) == ["loads from outside: http://outside.example/x.png"]


def test_axe_finds_a_planted_barrier_and_passes_a_page_without_one(chromium, axe):
    page = chromium.new_page()
    page.set_content('<html lang="en"><title>x</title><main><h1>x</h1><input></main></html>')
    assert [line for line in axe(page) if line.startswith("label (")]
    page.set_content('<html lang="en"><title>x</title><main><h1>x</h1><label>x <input></label></main></html>')
    assert axe(page) == []
    page.close()


@pytest.mark.parametrize("name", sorted(conftest.DEVICES))
def test_the_sign_in_page_is_as_wide_as_each_device(open_device, name):
    page = open_device(name)
    page.goto("/shop/sign-in")
    width = conftest.DEVICES[name]["viewport"]["width"]
    assert page.evaluate("document.documentElement.scrollWidth") == width
