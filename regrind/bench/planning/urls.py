from django.urls import path

from . import explaining, views

urlpatterns = [
    path("piece/<str:number>/plan", views.plan_piece, name="plan_piece"),
    path("<str:number>/plan", views.plan, name="plan"),
    path("<str:number>/explain", explaining.explain, name="explain"),
]
