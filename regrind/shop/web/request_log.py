"""What the log says of a request beside each message: its address and its person."""

from collections.abc import Callable

from django.http import HttpRequest
from django.http.response import HttpResponseBase

from regrind import log

from ..people.sign_in_limit import address

GetResponse = Callable[[HttpRequest], HttpResponseBase]


class LogAddress:
    """Log all that a request causes as from its address: the outermost middleware. It is not taken back at the end,
    since Django logs a refused request after that."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        log.begin_request(address(request))
        return self.get_response(request)


class LogPerson:
    """Log what follows as of whoever is signed in."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        log.set_person(request.user.pk)
        return self.get_response(request)
