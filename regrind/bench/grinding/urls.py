from django.urls import path

from . import views

urlpatterns = [
    path("<str:number>/grind", views.grind, name="grind"),
    path("<str:number>/away", views.away, name="away"),
]
