"""Who may open a page. The access table in the tests lists every URL with its roles."""
from collections.abc import Callable
from functools import wraps

from django.core.exceptions import PermissionDenied


def needs(*roles: str) -> Callable:
    """Let a view through for people who hold at least one of `roles`; others get 403."""
    def wrap(view: Callable) -> Callable:
        @wraps(view)
        def guarded(request, *args, **kwargs):
            if not any(request.user.may(role) for role in roles):
                raise PermissionDenied(" or ".join(role.replace("_", " ") for role in roles))
            return view(request, *args, **kwargs)
        guarded.roles = roles       # type: ignore[attr-defined]
        return guarded
    return wrap
