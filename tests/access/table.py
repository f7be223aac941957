"""Who may open what: every URL of the program with its roles and methods. A URL without a row fails the suite.

ANYONE needs no sign-in; ALL is everyone who is signed in; the owner may do everything.
"""

from typing import NamedTuple

ANYONE = ("anyone",)
ALL = ("front_desk", "bench", "owner")
DESK, BENCH, OWNER = ("front_desk",), ("bench",), ("owner",)
DESK_BENCH = ("front_desk", "bench")
GET, POST, BOTH = ("GET",), ("POST",), ("GET", "POST")
B, L, P = "417", "417-1", "417-1-1"  # a batch, a line, a piece of the test's world


class Row(NamedTuple):
    name: str
    roles: tuple[str, ...]
    methods: tuple[str, ...]
    args: tuple = ()
    elsewhere: tuple | None = None  # arguments that name nothing: 404


TABLE = [
    Row("today:page", ALL, GET),
    Row("today:search", ALL, GET),
    Row("today:open", ALL, GET),
    Row("record:undo", DESK_BENCH, BOTH, ("{event}",), (99_999,)),
    Row("dev:parts", ALL, GET),
    Row("handbook:index", ALL, GET),
    Row("handbook:page", ALL, GET, ("receive-a-box",), ("no-such-page",)),
    Row("shop:sign_in", ANYONE, BOTH),
    Row("shop:demo_sign_in", ANYONE, POST),
    Row("shop:sign_out", ALL, POST),
    Row("shop:echo", ALL, GET),
    Row("shop:draft", ALL, BOTH),
    Row("shop:settings", OWNER, BOTH),
    Row("shop:program", OWNER, BOTH),
    Row("shop:people", OWNER, BOTH),
    Row("shop:person", OWNER, BOTH, ("{person}",), (99_999,)),
    Row("shop:pin", OWNER, BOTH, ("{person}",), (99_999,)),
    Row("shop:badge", OWNER, BOTH, ("{person}",), (99_999,)),
    Row("shop:remove_second_factor", OWNER, POST, ("{person}",), (99_999,)),
    Row("shop:code", ANYONE, BOTH),
    Row("shop:second_factor", ALL, BOTH),
    Row("shop:account", ALL, GET),
    Row("shop:password", ALL, BOTH),
    Row("shop:end_session", ALL, POST),
    Row("shop:my_pin", ALL, BOTH),
    Row("shop:pending_post", ALL, BOTH),
    Row("shop:who", ANYONE, BOTH),
    Row("shop:hand_over", ALL, POST),
    Row("shop:backups", OWNER, BOTH),
    Row("shop:backup_file", OWNER, GET, ("{backup}",), ("regrind-20260101T020000Z-unsealed-9.tar",)),
    Row("shop:tablets", OWNER, BOTH),
    Row("shop:revoke", OWNER, POST, ("{tablet}",), (99_999,)),
    Row("receiving:batches", DESK_BENCH, GET),
    Row("receiving:new", DESK_BENCH, BOTH),
    Row("receiving:customers", DESK_BENCH, GET),
    Row("receiving:new_customer", DESK, BOTH),
    Row("receiving:customer", DESK, BOTH, ("{customer}",), (99_999,)),
    Row("receiving:families", DESK, GET),
    Row("receiving:family", DESK, BOTH, ("{family}",), (99_999,)),
    Row("receiving:merge_family", DESK, POST, ("{family}",), (99_999,)),
    Row("receiving:take_apart", DESK, POST, ("{merge}",), (99_999,)),
    Row("receiving:line", DESK_BENCH, GET, (L,), ("417-99",)),
    Row("receiving:confirm", DESK_BENCH, POST, (L,), ("417-99",)),
    Row("receiving:kind", DESK_BENCH, BOTH, (L,), ("417-99",)),
    Row("receiving:line_action", DESK_BENCH, BOTH, (L, "recount"), (L, "nothing")),
    Row("receiving:known", DESK_BENCH, BOTH, (P,), ("417-1-99",)),
    Row("receiving:complaint", DESK_BENCH, BOTH, (P,), ("417-1-99",)),
    Row("receiving:forget", DESK_BENCH, POST, (P,), ("417-1-99",)),
    Row("receiving:withdraw", DESK_BENCH, POST, (P,), ("417-1-99",)),
    Row("receiving:batch", DESK_BENCH, BOTH, (B,), ("999",)),
    Row("receiving:lines", DESK_BENCH, BOTH, (B,), ("999",)),
    Row("receiving:batch_action", DESK_BENCH, BOTH, (B, "owner"), (B, "nothing")),
    Row("receiving:foreign_item", DESK_BENCH, POST, (B,), ("999",)),
    Row("bench:page", DESK_BENCH, GET),
    Row("bench:line", DESK_BENCH, GET, (L,), ("417-99",)),
    Row("bench:piece", DESK_BENCH, GET, (P,), ("417-1-99",)),
    Row("bench:inspect", BENCH, BOTH, (L,), ("417-99",)),
    Row("bench:plan", BENCH, BOTH, (L,), ("417-99",)),
    Row("bench:plan_piece", DESK_BENCH, GET, (P,), ("417-1-99",)),
    Row("bench:photos", DESK_BENCH, BOTH, (L,), ("417-99",)),
    Row("bench:photo", DESK_BENCH, GET, ("{photo}",), (99_999,)),
    Row("bench:add_photo_again", DESK_BENCH, POST, ("{photo}",), (99_999,)),
    Row("bench:grind", BENCH, BOTH, (L,), ("417-99",)),
    Row("bench:at_coater", BENCH, BOTH, (L,), ("417-99",)),
    Row("bench:check", BENCH, BOTH, (L,), ("417-99",)),
    Row("bench:setups", BENCH, GET),
    Row("bench:setup", BENCH, BOTH, ("0123456789",), ("nothing",)),
    Row("bench:gauges", BENCH, BOTH),
    Row("bench:gauge", BENCH, BOTH, ("{gauge}",), (99_999,)),
    Row("bench:wheels", BENCH, BOTH),
    Row("bench:wheel", BENCH, BOTH, ("{wheel}",), (99_999,)),
    Row("bench:holdings", BENCH, BOTH),
    Row("bench:holding", BENCH, BOTH, ("{holding}",), (99_999,)),
    Row("office:print", DESK_BENCH, POST, ("job_sheet", B), ("job_sheet", "999")),
    Row("office:paper_file", DESK_BENCH, GET, ("{paper}",), (99_999,)),
    Row("bench:explain", DESK_BENCH, GET, (P,), ("417-1-99",)),
    Row("calculators:index", ALL, GET),
    Row("calculators:sources", ALL, GET),
    Row("calculators:page", ALL, GET, ("relief",), ("nothing",)),
    Row("bench:at_coater_list", DESK_BENCH, GET),
    Row("bench:setup_card", BENCH, GET, (L,), ("417-99",)),
    Row("bench:checked", DESK_BENCH, GET, (L,), ("417-99",)),
    Row("bench:relief", BENCH, GET, (L,), ("417-99",)),
    Row("office:papers", DESK_BENCH, GET, (B,), ("999",)),
    Row("office:page", DESK, GET),
    Row("office:batch", DESK, GET, (B,), ("999",)),
    Row("office:answer", DESK, BOTH, (L,), ("417-99",)),
    Row("office:prices", DESK, BOTH, (B,), ("999",)),
    Row("office:parcel", DESK, BOTH, (B,), ("999",)),
    Row("office:price_list", OWNER, BOTH),
    Row("office:price_import", OWNER, BOTH),
    Row("office:price_download", OWNER, GET),
    Row("office:rates", OWNER, BOTH),
    Row("office:rates_kind", OWNER, BOTH, ("square",), ("nothing",)),
    Row("office:rates_family", OWNER, BOTH, ("{family}",), (99_999,)),
    Row("review:families", OWNER, GET),
    Row("review:family", OWNER, GET, ("{family}",), (99_999,)),
    Row("review:accept", OWNER, POST, ("{family}",), (99_999,)),
    Row("review:export", OWNER, GET),
    Row("review:paper", OWNER, GET),
    Row("review:customers", OWNER, GET),
]
BY_PASSWORD = (
    "shop:second_factor",
    "shop:my_pin",
    "shop:account",
    "shop:password",
    "shop:end_session",
)  # open to the bench, but never by a PIN
