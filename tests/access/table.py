"""Who may open what: every URL of the program with its roles and methods. A URL without a row fails the suite.

ANYONE needs no sign-in; ALL is everyone who is signed in; the owner may do everything.
"""
from typing import NamedTuple

ANYONE = ("anyone",)
ALL = ("front_desk", "bench", "owner")
DESK, BENCH, OWNER = ("front_desk",), ("bench",), ("owner",)
DESK_BENCH = ("front_desk", "bench")
GET, POST, BOTH = ("GET",), ("POST",), ("GET", "POST")
B, L, P = "417", "417-1", "417-1-1"         # a batch, a line, a piece of the test's world


class Row(NamedTuple):
    name: str
    roles: tuple[str, ...]
    methods: tuple[str, ...]
    args: tuple = ()
    elsewhere: tuple | None = None      # arguments that name nothing: 404


TABLE = [
    Row("today:page", ALL, GET),
    Row("today:search", ALL, GET),
    Row("shop:sign_in", ANYONE, BOTH),
    Row("shop:demo_sign_in", ANYONE, POST),
    Row("shop:sign_out", ALL, POST),
    Row("shop:echo", ALL, GET),
    Row("shop:settings", OWNER, BOTH),
    Row("shop:people", OWNER, BOTH),
    Row("shop:person", OWNER, BOTH, ("{person}",), (99_999,)),
    Row("office:page", DESK, GET),
    Row("office:batch", DESK, GET, (B,), ("999",)),
    Row("office:answer", DESK, BOTH, (L,), ("417-99",)),
    Row("office:prices", DESK, BOTH, (B,), ("999",)),
    Row("office:parcel", DESK, BOTH, (B,), ("999",)),
    Row("office:undo_parcel", DESK, POST, (B, 1), (B, 9)),
    Row("review:families", OWNER, GET),
    Row("review:family", OWNER, GET, ("{family}",), (99_999,)),
    Row("bench:book", ALL, GET),
    Row("bench:book_page", ALL, GET, ("relief",), ("nothing",)),
]
