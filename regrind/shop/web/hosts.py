"""Which addresses are answered: those of the settings and, on the shop's own network, whatever this machine has now."""

import ipaddress
import logging
import socket
from collections.abc import Callable

from django.conf import settings
from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse
from django.http.request import split_domain_port
from django.http.response import HttpResponseBase

log = logging.getLogger("regrind.hosts")
MOST_NAMED = 50  # names in the log, each once


class KnownHosts:
    """Tell who asks by a name that is not answered which name it was, and what is to be done, before anything else.

    An address that the machine got since it was started (another network, another router) is answered from then on.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response
        self.named: set[str] = set()

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        try:
            request.get_host()
        except DisallowedHost:
            name = split_domain_port(request.META.get("HTTP_HOST", ""))[0]
            if not (settings.OWN_ADDRESSES and is_own_address(name)):
                return self._refuse(name)
            settings.ALLOWED_HOSTS.append(name)
        return self.get_response(request)

    def _refuse(self, name: str) -> HttpResponse:
        words = (
            f"This shop was asked for by the name {name[:100]!r}, which it does not answer to. Open one of the "
            "addresses that it printed when it was started; or stop it, add the name to REGRIND_HOSTS "
            f"(REGRIND_HOSTS={name[:100] or 'NAME'}) and start it again."
        )
        if name not in self.named and len(self.named) < MOST_NAMED:
            self.named.add(name)
            log.warning("%s", words)
        return HttpResponse(words, status=400, content_type="text/plain; charset=utf-8")


def is_own_address(name: str) -> bool:
    """Whether `name` is an IPv4 address by which another device reaches this machine. Nothing is sent to find out: a
    socket can be bound to an own address alone."""
    try:
        address = ipaddress.IPv4Address(name)
        if address.is_loopback or address.is_link_local or address.is_unspecified or address.is_multicast:
            return False
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.bind((name, 0))
    except (OSError, ValueError):
        return False
    return True
