from django.urls import path

from . import views

app_name = "calculators"
urlpatterns = [
    path("", views.index, name="index"),
    path("sources", views.sources, name="sources"),
    path("<slug:slug>", views.calculator, name="page"),
]
