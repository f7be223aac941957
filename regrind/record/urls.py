from django.urls import path

from .undo_views import undo_event

app_name = "record"
urlpatterns = [path("event/<int:pk>/undo", undo_event, name="undo")]
