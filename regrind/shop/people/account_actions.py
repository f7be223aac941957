"""Changes of an account's password."""

import secrets

from ..events import event
from ..models import Person
from .sessions import end_sessions
from .sign_in_limit import forget, name_key


def change_own_password(*, by: Person, password: str) -> None:
    """Set a person's own password; it is no longer the first one that somebody else made."""
    by.set_password(password)
    by.must_change_password = False
    with event(by, "account", why="own password"):
        Person.objects.filter(pk=by.pk).update(password=by.password, must_change_password=False)


def first_password() -> str:
    """A password by chance, of 64 bits, to be typed once and then changed."""
    return "-".join(secrets.token_hex(2) for _ in range(4))


def replace_lost_password(person: Person) -> str:
    """Give a person a new first password, on the computer itself, and return it. Every session of theirs ends, and
    wrong tries of before no longer count."""
    password = first_password()
    person.set_password(password)
    with event(None, "account", why="new password on the computer"):
        Person.objects.filter(pk=person.pk).update(password=person.password, must_change_password=True)
        end_sessions(person)
    forget(name_key(person.name), f"password:{person.pk}")
    return password
