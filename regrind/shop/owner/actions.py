"""Changes by the owner: the shop's people and settings."""

from ..events import Refusal, event
from ..models import Person, ShopSettings
from ..people.sessions import end_sessions
from .settings import forget_settings


def add_person(*, by: Person, name: str, password: str, front_desk: bool, bench: bool, owner: bool) -> Person:
    """Make an account; its person must change this password. Refusal where the name is taken or no role is given."""
    if Person.objects.find(name):
        raise Refusal(f"There is a person named {name} already. Choose another name.")
    if not (front_desk or bench or owner):
        raise Refusal("Tick at least one role.")
    with event(by, "account", why="new account"):
        return Person.objects.create_user(
            name, password, front_desk=front_desk, bench=bench, owner=owner, must_change_password=True
        )


def change_person(
    *,
    by: Person,
    person: Person,
    front_desk: bool,
    bench: bool,
    owner: bool,
    is_active: bool,
    left_handed: bool,
    password: str = "",
) -> None:
    """Change roles, hand, whether the person is active, and the password if there is a new one.

    Refusal where no active owner would be left, an active person would have no role, or the password is one's own:
    that one is changed with the present one. Whoever leaves or gets a new password is signed out everywhere.
    """
    others = Person.objects.filter(owner=True, is_active=True).exclude(pk=person.pk)
    if not (owner and is_active) and not others.exists():
        raise Refusal("This is the only active owner. Make another person owner first.")
    if is_active and not (front_desk or bench or owner):
        raise Refusal("Tick at least one role.")
    if password and person.pk == by.pk:
        raise Refusal("Change your own password under your name at the top: that asks for the present one.")
    changes: dict[str, object] = {
        "front_desk": front_desk,
        "bench": bench,
        "owner": owner,
        "is_active": is_active,
        "left_handed": left_handed,
    }
    if password:
        person.set_password(password)
        changes |= {"password": person.password, "must_change_password": True}
    with event(by, "account"):
        Person.objects.filter(pk=person.pk).update(**changes)
        if password or not is_active:
            end_sessions(person)


def hide_first_steps(*, by: Person) -> None:
    """Show the first steps on Today no longer; their page stays."""
    with event(by, "first steps"):
        _save(first_steps_hidden=True)


def save_shop_settings(*, by: Person, **changes: object) -> None:
    """Save the shop's one row of settings."""
    with event(by, "settings"):
        _save(**changes)


def _save(**changes: object) -> None:
    row = ShopSettings.objects.order_by("pk").first()
    if row is None:
        ShopSettings.objects.create(**changes)
    else:
        ShopSettings.objects.filter(pk=row.pk).update(**changes)
    forget_settings()
