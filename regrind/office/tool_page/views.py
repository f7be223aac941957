"""The page of a tool for whoever holds it, and the shop's page of its code."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.record.models import Tool
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..quotes.customer_views import HEADERS
from . import codes
from .shown import show_tool


@login_not_required
@require_http_methods(["GET", "HEAD"])
def page(request: HttpRequest, code: str) -> HttpResponse:
    """One tool, by the code on its label. The same 404 whatever is wrong with the code."""
    tool = codes.open_code(request, code)
    shown = show_tool(tool) if tool else None
    context = {"shop": shop_settings(), "tool": shown}
    template = "tool_page/page.html" if shown else "tool_page/no_tool.html"
    response = render(request, template, context, status=200 if shown else 404)
    for name, value in HEADERS.items():
        response.headers[name] = value
    return response


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def tool_code(request: HttpRequest, tag: str) -> HttpResponse:
    """The code of a tool: whether its label carries one, and a new one that revokes it."""
    tool = get_object_or_404(Tool.objects.select_related("customer", "family"), tag=tag)
    row = codes.newest(tool)

    def show() -> HttpResponse:
        context = {
            "tool": tool,
            "row": row,
            "address": codes.address_of(tool),
            "on": codes.switched_on(),
            "piece": tool.visits.order_by("-batch__number").select_related("batch").first(),
        }
        return render(request, "tool_page/code.html", context)

    def act() -> str:
        codes.make_code(by=person_of(request), tool=tool)
        return reverse("office:tool_code", args=[tool.tag])

    return save(request, None, act=act, page=request.path) if request.method == "POST" else show()
