"""Changes of one's own account."""

from ..events import event
from ..models import Person


def change_own_password(*, by: Person, password: str) -> None:
    """Set a person's own password; it is no longer the first one that somebody else made."""
    by.set_password(password)
    by.must_change_password = False
    with event(by, "account", why="own password"):
        Person.objects.filter(pk=by.pk).update(password=by.password, must_change_password=False)
