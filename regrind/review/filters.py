"""The filters and the what-if of a page. All of it is in the address, nothing is stored."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import QueryDict
from django.utils import timezone

from regrind.geometry.units import Unit
from regrind.record.models import ALL_YEARS, Customer, Family
from regrind.shop.fields.dates import day, next_month
from regrind.shop.fields.forms import LengthText, MoneyText, ShopForm
from regrind.shop.models import ShopSettings

MATERIALS = [("", "all"), *(Family._meta.get_field("material").choices or [])]
MOST_NM = 1_000_000_000
WHAT_IF = ("percent", "price", "rate", "lot", "smallest", "allowance")


def month_of(when: date) -> date:
    return when.replace(day=1)


def year_of(when: date) -> date:
    return when.replace(month=1, day=1)


@dataclass(frozen=True)
class ReviewFilter:
    """The filters of the review: None where not set. Months are whole, both included."""

    customer: Customer | None = None
    material: str = ""
    least_nm: int | None = None
    most_nm: int | None = None
    since: date | None = None
    until: date | None = None

    @property
    def narrowed(self) -> bool:
        return self != ReviewFilter()

    def cells(self) -> Q:
        """The roll-up cells of it."""
        months = Q()
        if self.since:
            months &= Q(month__gte=month_of(self.since))
        if self.until:
            months &= Q(month__lte=month_of(self.until))
        return months & self._whose()

    def whole_years(self) -> Q:
        """The roll-up years that are wholly within it; the sum of all years where no month is set.

        From a month on the years are named: a database without statistics then finds them by their index.
        """
        cut = self.cut_years()
        if self.since:
            last = self.until or timezone.localdate() + timedelta(days=1)  # it may be tomorrow in UTC
            some = (date(number, 1, 1) for number in range(self.since.year, last.year + 1))
            return Q(year__in=[year for year in some if year > ALL_YEARS and year not in cut]) & self._whose()
        if self.until:
            return Q(year__gt=ALL_YEARS, year__lte=year_of(self.until)) & ~Q(year__in=cut) & self._whose()
        return Q(year=ALL_YEARS) & self._whose()

    def _whose(self) -> Q:
        return (Q(customer=self.customer) if self.customer else Q()) & self._families("family__")

    def cut_years(self) -> set[date]:
        """The years of which only some months are within."""
        cut = {year_of(self.since)} if self.since and self.since.month > 1 else set()
        return cut | ({year_of(self.until)} if self.until and self.until.month < 12 else set())

    def lines(self) -> Q:
        """The lines of it, by the month in which their box came."""
        condition = Q()
        if self.customer:
            condition &= Q(batch__customer=self.customer)
        if self.since:
            condition &= Q(batch__received_at__gte=first_moment(month_of(self.since)))
        if self.until:
            condition &= Q(batch__received_at__lt=first_moment(next_month(self.until)))
        return condition & self._families("family__")

    def _families(self, to: str) -> Q:
        condition = Q()
        if self.material:
            condition &= Q(**{f"{to}material": self.material})
        if self.least_nm is not None:
            condition &= Q(**{f"{to}nominal_nm__gte": self.least_nm})
        if self.most_nm is not None:
            condition &= Q(**{f"{to}nominal_nm__lte": self.most_nm})
        return condition


@dataclass(frozen=True)
class WhatIf:
    """Figures tried in place of the record's own: None where not. percent: on every price."""

    percent: int | None = None
    price_minor: int | None = None
    rate_minor: int | None = None
    lot: int | None = None
    smallest_nm: int | None = None
    allowance_nm: int | None = None

    @property
    def asked(self) -> bool:
        return self != WhatIf()


class ReviewFilterForm(ShopForm):
    """The filters of the families page, with its what-if."""

    customer = forms.ModelChoiceField(Customer.objects.all(), required=False, empty_label="all")
    material = forms.ChoiceField(choices=MATERIALS, required=False)
    least = LengthText(label="Diameter from", required=False, most_nm=MOST_NM)
    most = LengthText(label="Diameter to", required=False, most_nm=MOST_NM)
    since = day(label="Received from (month)")
    until = day(label="Received until (month)")
    percent = forms.IntegerField(
        label="Prices up by, %",
        required=False,
        min_value=-90,
        max_value=500,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    rate = MoneyText(label="Hourly rate", required=False)
    lot = forms.IntegerField(
        label="Pieces per lot",
        required=False,
        min_value=1,
        max_value=500,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )

    def __init__(self, data: QueryDict, shop: ShopSettings):
        super().__init__(data)
        self.each_length(lambda _, field: _in_unit(field, shop.unit))

    def clean_rate(self) -> int | None:
        rate: int | None = self.cleaned_data["rate"]
        if rate == 0:
            raise ValidationError("The hourly rate is 0. Write more than 0, for example 95.50.")
        return rate

    def look(self) -> ReviewFilter:
        """What is asked for; a field that could not be read narrows nothing and says so beside it."""
        values = self._values()
        least, most = values.get("least"), values.get("most")
        return ReviewFilter(
            values.get("customer"),
            values.get("material", ""),
            least.nm if least else None,
            most.nm if most else None,
            values.get("since"),
            values.get("until"),
        )

    def what_if(self) -> WhatIf:
        values = self._values()
        smallest, allowance = values.get("smallest"), values.get("allowance")
        return WhatIf(
            values.get("percent"),
            values.get("price"),
            values.get("rate"),
            values.get("lot"),
            smallest.nm if smallest else None,
            allowance.nm if allowance else None,
        )

    def _values(self) -> dict[str, Any]:
        self.is_valid()
        return self.cleaned_data

    def link(self, **more: Any) -> str:
        """The address that shows the same again, with `more` changed; nothing that is empty stands in it."""
        query = {name: self.data.get(name, "") for name in self.fields if name not in self.errors}
        return "?" + urlencode({name: value for name, value in {**query, **more}.items() if value not in ("", None)})


class CustomerLookForm(ReviewFilterForm):
    """The filters alone, for the customers' page: nothing there would follow a price or a lot that is tried."""

    def __init__(self, data: QueryDict, shop: ShopSettings):
        super().__init__(data, shop)
        for name in ("percent", "rate", "lot"):
            del self.fields[name]


class FamilyLookForm(ReviewFilterForm):
    """The same for one family: its own price, smallest diameter and finish allowance can be tried."""

    price = MoneyText(label="Price per piece", required=False)
    smallest = LengthText(label="Smallest diameter", required=False, most_nm=MOST_NM)
    allowance = LengthText(label="Finish allowance, radial", required=False, most_nm=1_000_000)
    field_order = ("customer", "since", "until", "price", "percent", "rate", "lot", "smallest", "allowance")

    def __init__(self, data: QueryDict, shop: ShopSettings):
        super().__init__(data, shop)
        for name in ("material", "least", "most"):
            del self.fields[name]


def _in_unit(field: LengthText, unit: Unit) -> None:
    field.unit = unit
    field.widget.attrs["data-unit"] = unit


def first_moment(when: date) -> datetime:
    """The roll-ups' months begin in UTC."""
    return datetime(when.year, when.month, when.day, tzinfo=UTC)
