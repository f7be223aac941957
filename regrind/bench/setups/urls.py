from django.urls import path

from . import views

urlpatterns = [path("setups", views.setups, name="setups"), path("setups/<slug:key>", views.setup, name="setup")]
