"""The one price list: which row is the nearest, and the list as a table on the page, in a file and back."""

from datetime import date

import pytest
from django.utils import timezone

from regrind.office.price_list.entries import entries_on
from regrind.office.price_list.table import HEAD, cells, read_table
from regrind.record.models import Customer, Family, Rate
from regrind.record.rate_changes import keep_list
from regrind.record.rates import SHOP, Band, read_rates, ways_to_price
from regrind.shop.undo import undo

from .conftest import Desk

pytestmark = pytest.mark.django_db
MM = 1_000_000
DAY = date(2026, 1, 1)


@pytest.fixture
def desk(client, owner):
    client.force_login(owner)
    return Desk(client)


@pytest.fixture
def put(owner):
    """put({(scope, what, operation): amount}) -> on the list from DAY on."""

    def act(entries, day=DAY):
        return keep_list(by=owner, entries=entries, from_day=day, stale=lambda: False)

    return act


def end_mill(mm, teeth=4, kind="square"):
    return Family.objects.create(kind=kind, nominal_nm=round(mm * MM), teeth=teeth)


@pytest.mark.parametrize(
    ("mm", "teeth", "kind", "price"),
    [
        (6, 4, "square", 900),  # "up to" is within
        (6.001, 4, "square", 1_200),  # "over" is not
        (10, 4, "square", 1_200),
        (10, 6, "square", 1_500),  # a count of teeth before a band of diameters alone
        (10.5, 4, "square", 2_000),  # past all bands: the kind's
        (6, 4, "ball", 2_500),  # no row of its kind: the shop's
    ],
)
def test_the_nearest_row_is_the_narrowest_that_holds_the_tool(put, mm, teeth, kind, price):
    put(
        {
            (SHOP, "price", ""): 2_500,
            ((None, "square"), "price", ""): 2_000,
            (Band(None, "square", None, None, 6 * MM), "price", ""): 900,
            (Band(None, "square", None, 6 * MM, 10 * MM), "price", ""): 1_200,
            (Band(None, "square", None, 6 * MM, 10 * MM, 5, 8), "price", ""): 1_500,
        }
    )
    assert read_rates().on(end_mill(mm, teeth, kind), DAY).price_minor == price


def test_a_tool_of_unknown_size_is_in_no_band(put):
    put({(Band(None, "square", None, None, 6 * MM), "price", ""): 900})
    assert read_rates().on(Family.objects.create(kind="square"), DAY).price_minor is None


def test_a_customers_own_row_is_theirs_alone_and_comes_before_a_family_of_the_list(put, customer, family):
    put({((family.pk, ""), "price", ""): 1_800, (Band(None, "", customer.pk), "price", ""): 1_600})
    other = Customer.objects.create(name="Elm Street Dies")
    assert read_rates(customers=[customer.pk]).find(family, "price", DAY, "", customer.pk) == 1_600
    assert read_rates(customers=[other.pk]).find(family, "price", DAY, "", other.pk) == 1_800
    assert read_rates().on(family, DAY).price_minor == 1_800


def test_work_without_a_row_of_its_own_costs_its_parts_together(put, family):
    put({((None, "square"), "price", part): minor for part, minor in (("sides", 800), ("end", 500), ("face", 300))})
    book = read_rates()
    assert book.locate(family, "price", DAY, "sides end").parts == (("sides", 800), ("end", 500))
    put({((None, "square"), "price", "sides end"): 1_100})
    assert read_rates().find(family, "price", DAY, "sides end face") == 1_100 + 300
    assert ways_to_price("") == [("",)]


def test_the_table_reads_back_what_it_wrote(put, customer, owner):
    entries = {
        ((None, "square"), "price", "sides end"): 1_750,
        (Band(None, "square", None, 6 * MM, 10 * MM, 2, 4), "price", "end"): 650,
        ((None, "drill"), "price", "point"): 420,
        (Band(None, "", customer.pk), "discount", ""): 1_000,
        (SHOP, "coating", ""): 380,
        (SHOP, "rush", ""): 2_500,
    }
    put(entries)
    rows = entries_on(DAY)
    for mark in ("\t", ";", ","):
        text = "\r\n".join(mark.join(row) for row in [list(HEAD), *(_quoted(cells(row, "mm"), mark) for row in rows)])
        read, faults = read_table(text, "mm")
        assert not faults
        assert read == {row.key: row.rate.amount for row in rows}
    assert len(rows) == len(entries)


def _quoted(row, mark):
    return [f'"{cell}"' if mark in cell else cell for cell in row]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("polish;;;;;;;7", "Line 2: “polish” is no work of the list. Write one of: any work, "),
        ("sides;lathe tool;;;;;;7", "Line 2: “lathe tool” is no kind of tool of the list. Write one of: end mill"),
        ("point;end mill, square;;;;;;7", "Line 2: point is not ground on a end mill, square. Write one of: any"),
        ("any work;;10 mm;6 mm;;;;7", "Line 2: 6 mm is not above 10 mm. Write a larger diameter."),
        ("any work;;6;;;;;7", "Line 2: "),  # a whole number without a unit is asked about
        ("any work;;;;5;2;;7", "Line 2: 2 is less than 5. Write 5 or more."),
        ("any work;;;;;;Nobody;7", "Line 2: There is no customer “Nobody”. Write the name as in the list"),
        ("any work;;;;;;;seven", "Line 2: “seven” is not a price. Write a number from 0"),
        ("discount, per cent;;;;;;;7", "Line 2: A discount is a customer's. Write the customer's name."),
        ("rush, a box;drill;;;;;;7", "Line 2: “rush, a box” is for no single tool. Leave kind"),
        (";drill;;;;;;7", "Line 2: This row says not what it is the price of. Choose the work."),
        ("any work;;;;;;;7\nany work;;;;;;;8", "Line 3 is for the same as line 2. Leave one of the two."),
    ],
)
def test_a_wrong_line_says_which_why_and_what_to_write_and_nothing_is_saved(desk, line, words):
    address = "/office/price-list/import"
    table = ";".join(HEAD) + "\n" + line
    answer = desk.post(address, address, table=table, from_day=f"{DAY}")
    text = answer.content.decode().replace("&#x27;", "'").replace("&quot;", '"')
    assert answer.status_code == 422
    assert words in text
    assert line.splitlines()[0] in text
    assert not Rate.objects.exists()


def test_a_table_is_imported_in_one_event_that_can_be_undone(desk, owner):
    address = "/office/price-list/import"
    table = "work\tkind\tup to\tamount\nany work\tend mill, square\t6 mm\t9,50\nrush, a box\t\t\t25"
    answer = desk.post(address, address, table=table, from_day=f"{DAY}")
    assert answer["Location"] == "/office/price-list"
    assert read_rates().on(end_mill(6), DAY).price_minor == 950
    undo(by=owner, done=Rate.objects.first().event)
    assert not Rate.objects.exists()


def test_the_page_changes_ends_and_adds_rows_and_a_stale_page_gets_a_conflict(desk, put):
    [row] = put({((None, "square"), "price", ""): 900})
    address, today = "/office/price-list", timezone.localdate()
    page = desk.get(address).content.decode()
    assert f'name="row_{row.pk}" value="9.00"' in page
    sent = {
        f"row_{row.pk}": "9.50",
        "new_1-work": "coating sent out",
        "new_1-amount": "3.80",
        "from_day": f"{today}",
        "newest": row.pk,
    }
    assert desk.post(address, address, **sent).status_code == 302
    assert [(one.what, one.amount) for one in Rate.objects.order_by("pk")] == [
        ("price", 900),
        ("price", 950),
        ("coating", 380),
    ]
    assert desk.post(address, address, **sent).status_code == 409
    newest = Rate.objects.order_by("-pk").first()
    changed = Rate.objects.get(amount=950)
    ended = {f"row_{changed.pk}": "", f"row_{newest.pk}": "3.80", "from_day": f"{today}", "newest": newest.pk}
    assert desk.post(address, address, **ended).status_code == 302
    assert [entry.words for entry in entries_on(today)] == ["coating sent out"]


def test_a_wrong_new_row_is_said_beside_its_field_and_kept(desk):
    address = "/office/price-list"
    answer = desk.post(address, address, **{"new_2-amount": "7", "from_day": f"{DAY}", "newest": 0})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "Choose the work." in text
    assert 'name="new_2-amount" value="7"' in text


def test_a_table_that_cannot_be_split_is_told():
    read, faults = read_table("work\tamount\n" + "x" * 200_000, "mm")
    assert read == {}
    assert "cannot be split into cells" in faults[0]
