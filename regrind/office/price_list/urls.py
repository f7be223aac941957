from django.urls import path

from . import views

urlpatterns = [
    path("price-list", views.price_list, name="price_list"),
    path("price-list/import", views.price_import, name="price_import"),
    path("price-list/download", views.price_download, name="price_download"),
]
