from django.urls import path

from . import views

urlpatterns = [
    path("<str:number>/check", views.check, name="check"),
    path("<str:number>/checked", views.checked, name="checked"),
    path("<str:number>/relief", views.read_relief, name="relief"),
]
