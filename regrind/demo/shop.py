"""The demo's shop before the first box: its people, registers and customers."""

from datetime import datetime, timedelta
from typing import Any

from regrind.geometry.units import Typed, Unit, parse, show_with_unit
from regrind.record.actions import keep_customer
from regrind.record.contacts import keep_address, keep_contact
from regrind.record.models import Customer
from regrind.shop.models import Gauge, Person, Wheel, WorkHolding
from regrind.shop.owner.actions import save_shop_settings
from regrind.shop.owner.settings import shop_settings

ROLES = ("owner", "bench", "front_desk")
COATER: dict[str, Any] = {
    "coater": "Brightcoat",
    "address": "Bay 6, Weir Trading Estate\nNorth Ellery PA 15998",
    "note": "shanks stay bare from 1/16 in behind the flutes",
}
PLAIN = (
    "name",
    "unit",
    "keep",
    "scrap",
    "always_ask",
    "never_scrap_unasked",
    "prices_on_slip",
)


def nm(text: str) -> int:
    return parse(text).nm


def minor(text: str) -> int:
    return round(float(text) * 100)


def typed(mm: float, unit: Unit) -> Typed:
    """A reading as a bench hand would write it, at the gauge's resolution."""
    step = 2_540 if unit == "in" else 1_000
    whole = round(mm * 1_000_000 / step) * step
    return parse(show_with_unit(whole, unit))


def open_shop(data: dict[str, Any], now: datetime) -> dict[str, Person]:
    """ShopSettings, gauges, wheels and holdings; returns the people by name. `now`: what calibration counts from."""
    people = {
        entry["name"]: Person.objects.create_user(
            entry["name"], None, **{role: entry.get(role, False) for role in ROLES}
        )
        for entry in data["people"]
    }
    head = dict(data["letterhead"])
    save_shop_settings(by=people["Oda"], rate_minor=minor(head.pop("rate")), first_steps_hidden=True, **head)
    for entry in data["gauges"]:
        Gauge.objects.create(
            name=entry["name"],
            what=entry["what"],
            resolution_nm=nm(entry["resolution"]),
            uncertainty_nm=nm(entry["uncertainty"]),
            most_nm=nm(entry["most"]),
            anvil_cdeg=entry["anvil"] * 100 if "anvil" in entry else None,
            calibrated_until=(now + timedelta(days=entry["calibrated_days"])).date(),
        )
    for entry in data["wheels"]:
        Wheel.objects.create(
            name=entry["name"],
            abrasive=entry["abrasive"],
            shape=entry["shape"],
            grit=entry["grit"],
            bond=entry["bond"],
            diameter_nm=nm(entry["diameter"]),
            width_nm=nm(entry["width"]),
            marked_maximum_rpm=entry["rpm"],
            trued_runout_nm=nm(entry["trued"]),
        )
    WorkHolding.objects.bulk_create([WorkHolding(name=name) for name in data["holdings"]])
    return people


def make_customer(entry: dict[str, Any], by: Person) -> Customer:
    """A customer with the terms that the scenario tells."""
    values: dict[str, Any] = {name: entry[name] for name in PLAIN if name in entry}
    values |= {f"{name}_nm": nm(entry[name]) for name in ("under", "step", "shortest") if name in entry}
    values |= {f"{name}_minor": minor(entry[name]) for name in ("batch_minimum", "rush_charge") if name in entry}
    if "percent" in entry:
        values["under_basis_points"] = minor(entry["percent"])
    customer = keep_customer(by=by, regrinds_left_on_report=entry.get("regrinds_left", False), **values)
    for contact in entry.get("contacts", ()):
        keep_contact(by=by, customer=customer, **contact)
    for address in entry.get("addresses", ()):
        keep_address(by=by, customer=customer, **address)
    return customer


def worth_at(price: str) -> str:
    """What is asked of a customer who wants to hear the price before anything is ground."""
    return f"worth grinding again at {price} {shop_settings().currency} each?"
