"""Middleware: headers of every response, sign-in, and requests that are refused."""

from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.contrib.sessions.middleware import SessionMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils.http import urlencode
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails

from ..owner.settings import read_once
from ..people import second_factor, sessions
from ..people.access import BY_PIN, restrict_to_bench
from ..people.tablet_login import still_opens
from ..posts import pending_post
from . import errors
from .request_values import page_of

# A gauge may send over a serial line; no page of ours uses the others.
PERMISSIONS = "geolocation=(), microphone=(), payment=(), usb=(), serial=(self)"
GetResponse = Callable[[HttpRequest], HttpResponseBase]


class ContentSecurityPolicy:
    """Send SECURE_CSP with every answer. (Django 6 brings this by the same setting name.)"""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response
        self.policy = "; ".join(f"{directive} {sources}" for directive, sources in settings.SECURE_CSP.items())

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", self.policy)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        return response


class KeepNewerCookie(SessionMiddleware):
    """The answer to a request of an ended session takes no cookie away: another tab of the browser may have got a new
    one while a draft was on its way. Only the end of a session does."""

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        answer = super().process_response(request, response)
        cookie = answer.cookies.get(settings.SESSION_COOKIE_NAME)
        if cookie is not None and not cookie.value and not getattr(request, "session_ended", False):
            del answer.cookies[settings.SESSION_COOKIE_NAME]
        return answer


class NoStore:
    """No browser stores a page with data: whoever opens it next must be signed in. Files with a name of their own say
    otherwise themselves."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if request.user.is_authenticated:
            response.headers.setdefault("Cache-Control", "no-store")
        return response


class EndIdleSession:
    """A session that nobody has used for settings.IDLE_LIMIT ends."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.user.is_authenticated and sessions.is_idle(request):
            sessions.end(request, "unused for too long")
        return self.get_response(request)


class OwnPasswordFirst:
    """Who still has a password that somebody else made changes it before anything else."""

    OPEN = ("shop:password", "shop:sign_out", "shop:hand_over")

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        person = request.user
        must_change = person.is_authenticated and person.must_change_password and not person.by_pin
        if must_change and request.path not in {reverse(name) for name in self.OPEN}:
            return HttpResponseRedirect(reverse("shop:password"))
        return self.get_response(request)


class SecondFactorFirst:
    """Where the shop wants a second factor, whoever may more than the bench sets it up before anything else."""

    OPEN = ("shop:second_factor", "shop:password", "shop:sign_out", "shop:hand_over")

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        lacks_it = settings.SECOND_FACTOR and request.user.is_authenticated and second_factor.is_lacking(request.user)
        if lacks_it and request.path not in {reverse(name) for name in self.OPEN}:
            return HttpResponseRedirect(reverse("shop:second_factor"))
        return self.get_response(request)


class BenchSession:
    """A session opened by a PIN or a badge has the bench's rights only, and ends with that PIN, badge or tablet."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.session.get(BY_PIN) and request.user.is_authenticated:
            if still_opens(request, request.user):
                restrict_to_bench(request.user)
            else:
                sessions.end(request, "its PIN, badge or tablet is no longer valid")
        return self.get_response(request)


class ScriptRedirects:
    """A form sent by script gets the address of a redirect in a header: the page then goes there itself."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if request.headers.get("X-Tab") and response.status_code == 302:
            response = _with_cookies_of(HttpResponse(status=204, headers={"X-Go-To": response["Location"]}), response)
        return response


def _with_cookies_of(response: HttpResponse, other: HttpResponseBase) -> HttpResponse:
    response.cookies = other.cookies
    return response


class SignInRequired(LoginRequiredMiddleware):
    """Every page needs a sign-in unless its view says otherwise. A fragment's request sends the whole page there.

    A form that was sent after its session had ended is stashed, and offered again after the sign-in.
    """

    def handle_no_permission(  # type: ignore[override]  # the stub allows a redirect alone
        self, request: HttpRequest, view_func: Callable[..., HttpResponseBase]
    ) -> HttpResponseBase:
        if request.headers.get("X-Tab"):
            return HttpResponse(status=401)  # the script then sends the form as a page, which comes here again
        htmx: HtmxDetails = request.htmx  # type: ignore[attr-defined]  # the middleware of django-htmx sets it
        if request.method == "POST" and not htmx and pending_post.stash(request):
            return HttpResponseRedirect(
                f"{reverse(settings.LOGIN_URL)}?{urlencode({'next': reverse('shop:pending_post')})}"
            )
        if htmx:
            page = htmx.current_url_abs_path or reverse(settings.LOGIN_REDIRECT_URL)
            return HttpResponseClientRedirect(f"{reverse(settings.LOGIN_URL)}?{urlencode({'next': page})}")
        if request.method == "POST":
            return redirect_to_login(page_of(request), reverse(settings.LOGIN_URL))
        return super().handle_no_permission(request, view_func)


class RefuseLargeBody:
    """A request larger than any form here is not read: a photo of 16 MB and the values beside it fit."""

    MOST = 40_000_000

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) > self.MOST:
            return HttpResponse(
                f"The request is larger than {self.MOST // 1_000_000} MB, the limit. Go back and take the photo at a "
                "smaller size.",
                status=413,
                content_type="text/plain; charset=utf-8",
            )
        return self.get_response(request)


class PageForWrongMethod:
    """The address of a form that is opened as a page, by a reload or from a bookmark: Django's own answer is empty."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if response.status_code == 405 and request.method == "GET":
            page = errors.no_page(request)
            page["Allow"] = response["Allow"]
            return page
        return response


class SettingsOnce:
    """A request reads the shop's settings once."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with read_once():
            return self.get_response(request)


class RefuseOddText:
    """No keyboard or scanner sends NUL and other control characters: they are refused for every page."""

    ODD = {chr(n) for n in range(32)} - set("\t\r\n")

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if self._odd(request):
            return HttpResponseBadRequest(
                "The request contains control characters, which no field accepts. Go back and type the value again.",
                content_type="text/plain; charset=utf-8",
            )
        return self.get_response(request)

    def _odd(self, request: HttpRequest) -> bool:
        fields = [request.GET] + ([request.POST] if request.method == "POST" else [])
        return any(self.ODD & set(text) for data in fields for key, texts in data.lists() for text in (key, *texts))
