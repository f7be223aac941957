"""Who may open a page. The access table in the tests lists every URL with its roles.

A session that a PIN or a badge opened is a bench session: the person's other rights need their password.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar, cast
from urllib.parse import urlsplit

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.urls import Resolver404, resolve

from .person import Person

View = TypeVar("View", bound=Callable[..., HttpResponseBase])
BY_PIN = "by_pin"  # of a session: the id of the tablet on which a PIN or a badge opened it


class PasswordNeeded(PermissionDenied):
    """The person may do this, but not by a PIN: a password would open it."""


def restrict_to_bench(person: Person) -> None:
    """Reduce this request's person to the bench's rights, as after a PIN or a badge; the stored row stays as it is."""
    person.by_pin = True
    person.withheld_roles = tuple(role for role in ("front_desk", "owner") if getattr(person, role))
    person.bench, person.front_desk, person.owner = person.may("bench"), False, False


def may_open(person: Person, address: str) -> bool:
    """Whether a person's rights are enough for the page at an address; an address of no page is left to its answer."""
    try:
        view = resolve(urlsplit(address).path).func
    except Resolver404:
        return True
    roles = getattr(view, "roles", ())
    return not roles or any(person.may(role) for role in roles)


def needs(*roles: str) -> Callable[[View], View]:
    """Let a view through for people who hold at least one of `roles`; others get 403."""

    def wrap(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            person = cast(Person, request.user)  # every page asks for a sign-in first
            if not any(person.may(role) for role in roles):
                if set(person.withheld_roles) & {*roles, "owner"}:
                    raise PasswordNeeded
                raise PermissionDenied(" or ".join(role.replace("_", " ") for role in roles))
            return view(request, *args, **kwargs)

        guarded.roles = roles  # type: ignore[attr-defined]  # read by the access table
        return cast(View, guarded)

    return wrap
