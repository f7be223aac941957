from django.urls import path

from . import views

urlpatterns = [path("<str:number>/plan", views.plan, name="plan")]
