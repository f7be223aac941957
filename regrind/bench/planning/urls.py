from django.urls import path

from . import views

urlpatterns = [
    path("piece/<str:number>/plan", views.plan_piece, name="plan_piece"),
    path("<str:number>/plan", views.plan, name="plan"),
]
