"""Customers with unit and terms; lists that find them."""

import pytest

from regrind.record.actions import keep_customer
from regrind.record.models import Customer
from regrind.shop.events import Refusal
from regrind.shop.models import History

pytestmark = pytest.mark.django_db
INCH = 25_400_000
NEW = "/receiving/customers/new"
TERMS = {
    "name": "Marlow Gear",
    "contact": "T. Marlow",
    "mail": "t@marlow.example",
    "phone": "555-0101",
    "unit": "in",
    "smallest": ".2300",
    "under": ".015 in",
    "percent": "5",
    "step": ".005",
    "shortest": "1/2",
    "keep": "length",
    "always_ask": "on",
    "never_scrap_unasked": "on",
    "scrap": "recycle",
    "prices_on_slip": "on",
    "regrinds_left_on_report": "on",
    "batch_minimum": "40",
    "rush_charge": "25.50",
    "note": "dock 3",
    "active": "on",
}


def test_a_customer_is_kept_with_every_term(counter):
    answer = counter.post(NEW, **TERMS)
    made = Customer.objects.get()
    assert answer.url == f"/receiving/customers/{made.pk}"
    assert (made.smallest_nm, made.under_nm, made.under_basis_points, made.step_nm, made.shortest_nm) == (
        INCH * 23 // 100,
        INCH * 15 // 1000,
        500,
        INCH * 5 // 1000,
        INCH // 2,
    )
    assert (
        made.keep,
        made.scrap,
        made.always_ask,
        made.never_scrap_unasked,
        made.prices_on_slip,
        made.regrinds_left_on_report,
    ) == ("length", "recycle", True, True, True, True)
    assert (made.batch_minimum_minor, made.rush_charge_minor) == (4000, 2550)


def test_terms_pass_through_the_page_without_changing(counter):
    counter.post(
        NEW,
        **TERMS
        | {
            "unit": "mm",
            "smallest": "6.123457 mm",
            "under": ".015 in",
            "step": "0.1 mm",
            "shortest": "8 mm",
            "percent": "2.75",
        },
    )
    before = Customer.objects.values().get()
    page = counter.get(f"/receiving/customers/{before['id']}").context["form"]
    values = {bound.name: bound.value() for bound in page if bound.value() not in (None, "", False)}
    counter.post(f"/receiving/customers/{before['id']}", **values)
    assert Customer.objects.values().get() == before


def test_a_change_is_in_the_history_with_who(counter, customer):
    counter.post(f"/receiving/customers/{customer.pk}", **TERMS)
    assert Customer.objects.get().name == "Marlow Gear"
    told = History.objects.filter(table="record_customer", what="changed").latest("id")
    assert (told.who, "Brookfield" in told.old) == ("Fay", True)


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("name", "", "required"),
        ("name", "x" * 121, "120"),
        ("mail", "nobody", "not a mail address"),
        ("smallest", "5", "needs a unit"),
        ("smallest", "0.2.5", "not a length"),
        ("smallest", "30 in", "out of range"),
        ("under", "-.015", "out of range"),
        ("under", "100 mm", "out of range"),
        ("percent", "51", "from 0 to 50"),
        ("percent", "five", "from 0 to 50"),
        ("percent", "NaN", "from 0 to 50"),
        ("percent", "1.234", "two decimals"),
        ("step", "0", "out of range"),
        ("shortest", "1e400", "not a length"),
        ("keep", "both", "both"),
        ("scrap", "", "required"),
        ("batch_minimum", "-4", "not a price"),
        ("rush_charge", "1,000.00", "not a price"),
        ("unit", "cubit", "cubit"),
    ],
)
def test_a_term_that_does_not_fit_is_said_beside_it_and_nothing_is_kept(counter, field, value, message):
    answer = counter.post(NEW, **TERMS | {field: value})
    assert answer.status_code == 422
    assert message in " ".join(answer.context["form"].errors[field])
    assert not Customer.objects.exists()
    assert "dock 3" in answer.content.decode()


def test_a_name_is_taken_whatever_its_case(counter, customer):
    answer = counter.post(NEW, **TERMS | {"name": customer.name.lower()})
    assert answer.status_code == 422
    assert "already" in answer.context["form"].errors["name"][0]
    assert Customer.objects.count() == 1


def test_a_customer_may_keep_its_own_name(owner, customer):
    assert keep_customer(by=owner, customer=customer, name=customer.name, note="new").note == "new"
    other = Customer.objects.create(name="Other")
    with pytest.raises(Refusal, match="already"):
        keep_customer(by=owner, customer=other, name=customer.name)


def test_bench_hands_see_the_list_and_not_the_terms(client, bench_hand, customer):
    client.force_login(bench_hand)
    assert "Brookfield" in client.get("/receiving/customers").content.decode()
    assert client.get(f"/receiving/customers/{customer.pk}").status_code == 403


def test_customers_are_found_by_part_of_name_contact_or_phone(counter, customer, owner):
    keep_customer(by=owner, name="Other", contact={"name": "Tess Brook", "phone": "555-0199"})
    for search, names in (("brook", ["Brookfield Tooling", "Other"]), ("0199", ["Other"]), ("nobody", [])):
        rows = counter.get("/receiving/customers", q=search).context["rows"]
        assert [row.customer.name for row in rows] == names


def test_customers_page_on_by_name(counter):
    Customer.objects.bulk_create([Customer(name=f"{letter}{n:02}") for letter in "bAc" for n in range(40)])
    seen, after = [], ""
    while True:
        page = counter.get("/receiving/customers", after=after).context
        seen += [row.customer.name for row in page["rows"]]
        after = page["more"]
        if not after:
            break
    assert seen == sorted(seen, key=str.lower)
    assert len(seen) == len(set(seen)) == 120
