from django.urls import path

from . import views

urlpatterns = [path("<str:number>/inspect", views.inspect, name="inspect")]
