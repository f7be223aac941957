"""Sending a form so that it counts once, even where the record has moved on since it was first sent."""
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from regrind.shop.events import Refusal
from regrind.shop.forms import ShopForm
from regrind.shop.once import carry_out


def send(request: HttpRequest, form: ShopForm, act: Callable[[], str], page: Callable[[str], HttpResponse]
         ) -> HttpResponse:
    """Check the form and carry out `act`, both behind the once-only key.

    A form whose answer was lost is sent again when its pieces have moved: by itself it no longer fits, and must still
    lead to where the first one led. page: the form's page, with a refusal or "" to show beside what was typed.
    """
    def checked() -> str:
        if not form.is_valid():
            raise Refusal("")
        return act()
    return carry_out(request, checked, refused=page)
