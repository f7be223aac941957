"""What every answer carries, and what no request may bring."""

from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils.http import urlencode
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails

from ..people.access import BY_PIN, hold_back
from ..people.tablet import Tablet
from ..posts import pending_post

GetResponse = Callable[[HttpRequest], HttpResponseBase]


class ContentSecurityPolicy:
    """Send SECURE_CSP with every answer. (Django 6 brings this by the same setting name.)"""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response
        self.policy = "; ".join(f"{what} {where}" for what, where in settings.SECURE_CSP.items())

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", self.policy)
        response.headers.setdefault("Permissions-Policy", "geolocation=(), microphone=(), payment=(), usb=()")
        return response


class BenchSession:
    """A session opened by a PIN or a badge holds the bench alone, and only as long as its tablet is enrolled."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        tablet = request.session.get(BY_PIN)
        if tablet and request.user.is_authenticated:
            if Tablet.objects.filter(pk=tablet, revoked_at=None).exists():
                hold_back(request.user)
            else:
                logout(request)
        return self.get_response(request)


class TabAnswers:
    """A form that a page sends by script is told where to go, instead of being led there: the page then goes itself."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        answer = self.get_response(request)
        if request.headers.get("X-Tab") and answer.status_code == 302:
            answer = _keep_cookies(HttpResponse(status=204, headers={"X-Go-To": answer["Location"]}), answer)
        return answer


def _keep_cookies(answer: HttpResponse, old: HttpResponseBase) -> HttpResponse:
    answer.cookies = old.cookies
    return answer


class SignInRequired(LoginRequiredMiddleware):
    """Every page asks for a sign-in unless it says otherwise. A fragment sends the whole page to it.

    A form that was sent after the session had lapsed is held: it is offered again once somebody has signed in.
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
        answer = super().handle_no_permission(request, view_func)
        if htmx:
            back = htmx.current_url_abs_path or reverse(settings.LOGIN_REDIRECT_URL)
            return HttpResponseClientRedirect(f"{reverse(settings.LOGIN_URL)}?{urlencode({'next': back})}")
        return answer


class RefuseLargeBody:
    """A request larger than any form here is not read at all: a photo of 16 MB and what is typed beside it fit."""

    MOST = 40_000_000

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) > self.MOST:
            return HttpResponse(
                f"What was sent is larger than {self.MOST // 1_000_000} MB. Go back and take the photo "
                "at a smaller size.",
                status=413,
                content_type="text/plain; charset=utf-8",
            )
        return self.get_response(request)


class RefuseOddText:
    """NUL and other control characters never come from a keyboard or a scanner: refuse them once, for every page."""

    ODD = {chr(n) for n in range(32)} - set("\t\r\n")

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if self._odd(request):
            return HttpResponseBadRequest(
                "The request holds control characters, which no field here takes.",
                content_type="text/plain; charset=utf-8",
            )
        return self.get_response(request)

    def _odd(self, request: HttpRequest) -> bool:
        fields = [request.GET] + ([request.POST] if request.method == "POST" else [])
        return any(self.ODD & set(text) for data in fields for key, texts in data.lists() for text in (key, *texts))
