from django.urls import path

from . import views

urlpatterns = [
    path("setups", views.setups, name="setups"),
    path("setups/take-back", views.take_back, name="setup_back"),
    path("setups/<slug:key>", views.setup, name="setup"),
]
