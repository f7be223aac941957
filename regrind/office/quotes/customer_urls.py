"""The one address that a customer opens: short, so that it fits a code on paper."""

from django.urls import path

from . import customer_views

app_name = "quote"
urlpatterns = [path("<str:token>", customer_views.page, name="page")]
