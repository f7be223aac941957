"""Which host names are answered: those of the settings and this computer's own addresses on the shop's network."""

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
MOST_LOGGED = 50  # names in the log, each once


class KnownHosts:
    """Refuse a request for an unknown host name, say which name it was and what to do.

    An address that this computer got since the program was started (another network or router) is answered too.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response
        self.logged: set[str] = set()

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
        message = (
            f"The request was for the host name {name[:100]!r}, which this program does not answer to. Open one of the "
            "addresses that the program printed at its start. Or add the name under Shop, Program (hosts in the "
            f"settings file, or the variable REGRIND_HOSTS={name[:100] or 'NAME'}) and start the program again."
        )
        if name not in self.logged and len(self.logged) < MOST_LOGGED:
            self.logged.add(name)
            log.warning("%s", message)
        return HttpResponse(message, status=400, content_type="text/plain; charset=utf-8")


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
