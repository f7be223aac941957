from django.urls import path

from . import paper_views, price_views, views
from .bills.urls import urlpatterns as bills
from .complaints.views import complaint, complaints
from .downloads.views import downloads
from .mail.urls import urlpatterns as mail
from .price_list.urls import urlpatterns as price_list
from .quotes.urls import urlpatterns as quotes
from .rates.urls import urlpatterns as rates
from .tool_page.views import tool_code

app_name = "office"
urlpatterns = [
    path("", views.page, name="page"),
    *rates,
    *price_list,
    *bills,
    path("downloads", downloads, name="downloads"),
    *quotes,
    *mail,
    path("tool/<str:tag>/code", tool_code, name="tool_code"),
    path("complaints", complaints, name="complaints"),
    path("complaint/<str:number>", complaint, name="complaint"),
    path("print/<str:kind>/<str:number>", paper_views.print_paper, name="print"),
    path("test-label", paper_views.test_label, name="test_label"),
    path("paper/<int:pk>", paper_views.paper_file, name="paper_file"),
    path("<str:number>/", views.batch, name="batch"),
    path("<str:number>/papers", paper_views.papers, name="papers"),
    path("<str:number>/answer", views.answer, name="answer"),
    path("<str:number>/prices", price_views.prices, name="prices"),
    path("<str:number>/parcel", views.parcel, name="parcel"),
    path("<str:number>/parcels/<int:parcel>", views.sent_parcel, name="sent_parcel"),
]
