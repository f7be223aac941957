"""The address that a customer opens: short, so that it fits a code on paper; and the photos on its page."""

from django.urls import path

from . import customer_views

app_name = "quote"
urlpatterns = [
    path("<str:token>", customer_views.page, name="page"),
    path("<str:token>/photo/<int:pk>", customer_views.photo, name="photo"),
]
