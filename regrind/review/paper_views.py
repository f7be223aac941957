"""The review on one page of paper, for the owner or for a talk with a customer."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from regrind.paper.review import MOST_ROWS
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs

from .families import all_rows, with_reasons
from .filters import ReviewFilterForm
from .paper_values import draw


@needs("owner")
@require_GET
def paper(request: HttpRequest) -> HttpResponse:
    """A PDF of what is looked at; with a customer chosen it is theirs, and says nothing of what the shop earns."""
    form = ReviewFilterForm(request.GET, shop_settings())
    look = form.look()
    sort = "received" if look.customer else "earns"
    rows = all_rows(look, form.what_if(), sort)
    rows = [*with_reasons(rows[:MOST_ROWS], look), *rows[MOST_ROWS:]]  # no more of them stand on the page
    drawn = draw(rows, look, form.what_if(), shop_settings(), timezone.localdate())
    answer = HttpResponse(drawn, content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="families.pdf"'
    return answer
