from django.urls import path

from . import views

urlpatterns = [
    path("rates", views.shop_rates, name="rates"),
    path("rates/kind/<str:kind>", views.kind_rates, name="rates_kind"),
    path("rates/family/<int:pk>", views.family_rates, name="rates_family"),
]
