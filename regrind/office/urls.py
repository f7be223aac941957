from django.urls import URLPattern

app_name = "office"
urlpatterns: list[URLPattern] = []
