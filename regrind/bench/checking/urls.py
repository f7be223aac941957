from django.urls import path

from . import views

urlpatterns = [path("<str:number>/check", views.check, name="check")]
