"""Deep calls do not ask the system for memory again and again.

Shown by page faults, which the system counts: a piece of memory that is new costs one when it is first written to.
"""

import os
import sys
import threading

import pytest
from django.conf import settings

from regrind.frames import with_room

CALLS, DEEP = 2_000, 300
counts_faults = pytest.mark.skipif(os.name == "nt", reason="Windows does not count page faults for Python")


def small(number: int) -> int:
    return number


# Its frame is larger than that of one step down, so that the steps miss no edge.
small.__code__ = small.__code__.replace(co_stacksize=100)


def count_faults() -> int:
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt


def faults_at(depth: int) -> int:
    """The page faults of many small calls, made `depth` calls further down."""
    if depth:
        return faults_at(depth - 1)
    before = count_faults()
    for number in range(CALLS):
        small(number)
    return count_faults() - before


@counts_faults
def test_with_room_no_depth_asks_for_memory_at_every_call():
    assert max(with_room(faults_at)(depth) for depth in range(DEEP)) < CALLS / 10


@counts_faults
@pytest.mark.skipif(
    sys.version_info >= (3, 13), reason="later releases of Python 3.13 keep the piece for the next call"
)
def test_without_it_some_depth_does():
    """Else the test above would prove nothing."""
    assert max(without_room(depth) for depth in range(DEEP)) >= CALLS


def without_room(depth: int) -> int:
    """In a thread of its own: the tests themselves run with room."""
    answers: list[int] = []
    thread = threading.Thread(target=lambda: answers.append(faults_at(depth)))
    thread.start()
    thread.join()
    return answers[0]


def test_every_page_is_answered_with_room():
    assert settings.MIDDLEWARE[0] == "regrind.frames.with_room"


def test_it_answers_as_the_function_itself():
    assert with_room(divmod)(17, 5) == (3, 2)
    assert with_room(sorted)([2, 1], reverse=True) == [2, 1]
    with pytest.raises(ZeroDivisionError):
        with_room(divmod)(1, 0)
