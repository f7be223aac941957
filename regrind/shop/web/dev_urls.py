from django.urls import path

from . import dev_views

app_name = "dev"
urlpatterns = [path("parts", dev_views.parts, name="parts")]
