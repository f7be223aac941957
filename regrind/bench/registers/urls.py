from django.urls import path

from . import views

urlpatterns = [
    path("gauges", views.gauges, name="gauges"),
    path("gauges/<int:pk>", views.gauges, name="gauge"),
    path("wheels", views.wheels, name="wheels"),
    path("wheels/<int:pk>", views.wheels, name="wheel"),
    path("holdings", views.holdings, name="holdings"),
    path("holdings/<int:pk>", views.holdings, name="holding"),
]
