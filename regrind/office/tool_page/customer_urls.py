"""The one address that the holder of a tool opens; in capitals too, as a label's code has it."""

from django.urls import re_path

from . import views

app_name = "tool_page"
urlpatterns = [re_path(r"^[tT]/(?P<code>[A-Za-z0-9_-]{1,64})$", views.page, name="page")]
