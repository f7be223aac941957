from django.urls import path

from . import views

app_name = "review"
urlpatterns = [
    path("", views.families, name="families"),
    path("<int:pk>", views.family, name="family"),
]
