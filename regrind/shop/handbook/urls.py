from django.urls import path

from . import views

app_name = "handbook"
urlpatterns = [
    path("", views.index, name="index"),
    path("<slug:name>", views.page, name="page"),
]
