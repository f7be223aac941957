from django.urls import path

from . import views

app_name = "today"
urlpatterns = [
    path("", views.page, name="page"),
    path("first-steps", views.first_steps, name="first_steps"),
    path("search", views.search, name="search"),
    path("open", views.open_code, name="open"),
]
