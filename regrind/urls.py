"""Every address of the program; each room has its own."""

from django.conf import settings
from django.urls import include, path

urlpatterns = [
    path("", include("regrind.today.urls")),
    path("", include("regrind.record.urls")),
    path("shop/", include("regrind.shop.urls")),
    path("help/", include("regrind.shop.handbook.urls")),
    path("receiving/", include("regrind.receiving.urls")),
    path("bench/", include("regrind.bench.urls")),
    path("calculators/", include("regrind.calculators.urls")),
    path("office/", include("regrind.office.urls")),
    path("", include("regrind.office.tool_page.customer_urls")),
    path("q/", include("regrind.office.quotes.customer_urls")),
    path("review/", include("regrind.review.urls")),
]

if settings.DEV_PAGES:
    urlpatterns.append(path("dev/", include("regrind.shop.web.dev_urls")))

handler400 = "regrind.shop.web.errors.bad_request"
handler403 = "regrind.shop.web.errors.forbidden"
handler404 = "regrind.shop.web.errors.not_found"
handler500 = "regrind.shop.web.errors.server_error"
