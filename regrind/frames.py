"""Room for the frames of deep calls.

CPython keeps the frames of Python functions in pieces of 16 kB, and until its releases of spring 2026 gave a piece back
to the system as soon as the last call in it returned: a loop whose calls just cross an edge asks for memory at every
call (CPython's issue 142183). A page is deep, with middleware, a view and templates within templates.
"""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

Arguments = ParamSpec("Arguments")
Answer = TypeVar("Answer")
# Just over half a megabyte of 8-byte slots: pieces double in size, so that one of a megabyte is made, and what is
# called from there has the other half. Memory that nothing writes to is not taken.
SLOTS = 65_536


def with_room(call: Callable[Arguments, Answer]) -> Callable[Arguments, Answer]:
    """`call`, from a frame that asks for so much that all it calls has its frames in the same piece of memory.

    It is also a middleware: the first one gives room to all that answers a request.
    """

    def roomy(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Answer:
        return call(*args, **kwargs)

    roomy.__code__ = roomy.__code__.replace(co_stacksize=SLOTS)
    return wraps(call)(roomy)
