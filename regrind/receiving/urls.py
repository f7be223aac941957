from django.urls import URLPattern

app_name = "receiving"
urlpatterns: list[URLPattern] = []
