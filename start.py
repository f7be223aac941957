#!/usr/bin/env python3
"""One command for everything, on Linux, macOS and Windows (there: py start.py ...):

    python3 start.py demo                  an invented shop, on this machine only
    python3 start.py serve                 the shop's own data, for the tablets on the local network
    python3 start.py serve --https         the same with TLS, and a certificate of the shop's own
    python3 start.py serve --tls NAME      the same behind a TLS proxy that answers for NAME
    python3 start.py service install       start it with this machine, and again after a failure; also remove, status
    python3 start.py settings              write the shop's settings file, and say where everything lies
    python3 start.py test                  every check; --fast for the quick ones, --full for long drills too
    python3 start.py test -- tests/bench -k undo     only these tests, on SQLite; any pytest arguments after --
    python3 start.py format                format Python, templates, CSS and JavaScript
    python3 start.py manage COMMAND...     Django's own commands
    python3 start.py --version

It needs Python 3.11 or newer and nothing else; the first run makes .venv from the locked requirements.
Other variables: PORT, REGRIND_DATA, DATABASE_URL; docs/deploy.md explains them.
"""

import sys

OLDEST = (3, 11)


def say_if_too_old(version):
    """What to tell somebody whose Python is too old; nothing for one that is not."""
    if tuple(version[:2]) >= OLDEST:
        return ""
    return "Python {}.{} or newer is needed; this is {}.{}.".format(*OLDEST, *version[:2])


if say_if_too_old(sys.version_info):  # before anything that an old Python could not even read
    sys.exit(say_if_too_old(sys.version_info))

from scripts.launch import main  # noqa: E402

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], __doc__))
