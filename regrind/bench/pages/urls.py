from django.urls import path

from . import views

urlpatterns = [
    path("", views.page, name="page"),
    path("piece/<str:number>", views.piece, name="piece"),
    path("<str:number>/", views.line, name="line"),
]
