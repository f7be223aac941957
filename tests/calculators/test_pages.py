"""The bench book answers its worked examples, says what is wrong beside the field, and never falls over."""

import re
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from regrind.calculators.pages import PAGES
from tests.calculators.book_pages import WAYS, ask, example, form_of, names_of, shown


def test_the_book_lists_every_page(hand):
    text = hand.get(reverse("calculators:index")).content.decode()
    assert all(reverse("calculators:page", args=[what]) in text for what in PAGES)


def test_a_page_or_a_way_that_is_not_there_is_not_found(hand):
    assert ask(hand, "nothing").status_code == 404
    assert ask(hand, "relief", by="nothing").status_code == 404


@pytest.mark.parametrize("role", ["front_desk", "bench_hand", "owner"])
def test_everyone_who_is_signed_in_may_use_it(client, request, role):
    client.force_login(request.getfixturevalue(role))
    assert ask(client, "relief").status_code == 200


def test_nobody_else_may(client, db):
    assert ask(client, "relief").status_code == 302


@pytest.mark.parametrize(("what", "code"), [way for way in WAYS if not form_of(*way).opens_empty])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_page_opens_with_a_worked_example(hand, what, code, unit):
    response = ask(hand, what, by=code, unit=unit)
    assert response.status_code == 200
    result = response.context["result"]
    text = shown(response)
    assert "A worked example" in text
    assert result.figures[0].value in response.content.decode()
    assert "<svg" in response.content.decode()
    for line in result.working:
        assert re.sub(r"\s+", " ", line.formula) in text
        assert line.basis
        assert re.sub(r"\s+", " ", line.basis) in text


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_the_uncertainty_comes_from_the_digits_and_goes_with_them(hand, what, code):
    digits = [name for name in form_of(what, code).base_fields if name.endswith("_digit")]
    assert digits
    with_digits = ask(hand, what, **example(what, code)).context["result"]
    without = ask(hand, what, **example(what, code, **dict.fromkeys(digits, ""))).context["result"]
    assert any(figure.sure.startswith("±") for figure in with_digits.figures)
    assert not any(figure.sure.startswith("±") for figure in without.figures)


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_a_link_carries_what_was_typed(hand, what, code):
    first = ask(hand, what, **example(what, code))
    again = hand.get(first.context["links"]["mm"])
    assert again.context["result"] == first.context["result"]
    assert not again.context["is_example"]
    carried = parse_qs(urlsplit(first.context["link"]).query)
    given = {name: [value] for name, value in example(what, code).items() if value}
    assert carried == given


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_the_other_unit_changes_no_number(hand, what, code):
    first = ask(hand, what, **example(what, code))
    other = hand.get(first.context["links"]["in"])
    assert other.status_code == 200
    for name, value in first.context["form"].cleaned_data.items():
        assert getattr(other.context["form"].cleaned_data[name], "nm", None) == getattr(value, "nm", None)


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_answer_as_you_type_is_a_fragment_of_the_page(hand, what, code):
    whole = ask(hand, what, **example(what, code))
    fragment = hand.get(reverse("calculators:page", args=[what]), example(what, code), headers={"HX-Request": "true"})
    assert "<html" not in fragment.content.decode()
    assert "<form" not in fragment.content.decode()
    answer = fragment.content.decode().split('<div class="error"')[0]
    assert answer.strip() in whole.content.decode()
    assert "HX-Request" in fragment["Vary"]
    assert "HX-Request" in whole["Vary"]
    assert "HX-Push-Url" not in fragment


def test_what_is_wrong_is_said_beside_its_field_while_typing_and_goes_again(hand):
    """Each field has one place for its error, whole page or fragment; htmx swaps it by its id."""

    def slots(**changed):
        fragment = hand.get(
            reverse("calculators:page", args=["relief"]),
            example("relief", "drop", **changed),
            headers={"HX-Request": "true"},
        )
        assert fragment.status_code == 200
        places = re.findall(
            r'<div class="error" id="id_(\w+)_error" hx-swap-oob="true">(.*?)</div>',
            fragment.content.decode(),
            re.DOTALL,
        )
        return {name: text.strip() for name, text in places}

    assert set(slots()) == set(names_of("relief", "drop"))
    assert set(slots().values()) == {""}
    wrong = slots(drop="0.2.5")
    assert "is not a length" in wrong.pop("drop")
    assert set(wrong.values()) == {""}
    assert "smaller than the radius" in slots(distance="6 mm")["distance"]
    assert 'data-choice="5 mm"' in slots(drop="5")["drop"]
    page = ask(hand, "relief", **example("relief", "drop", drop="0.2.5")).content.decode()
    assert all(page.count(f'id="id_{name}_error"') == 1 for name in names_of("relief", "drop"))


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_no_script_is_needed(hand, what, code):
    body = ask(hand, what, by=code).content.decode().split("<main")[1]
    assert re.search(r'<form[^>]* method="get"[^>]* action="/calculators/', body)
    assert "Calculate</button>" in body
    assert "<script" not in body
    assert " style=" not in body
    for page in PAGES[what].ways:
        assert len(PAGES[what].ways) == 1 or f"?by={page.code}&amp;unit=" in body


def test_it_is_made_to_print(hand):
    assert "css/calculators.css" in ask(hand, "relief").content.decode()
    css = Path("static/css/calculators.css").read_text()
    assert "@page" in css.split("@media print")[1]
