from django.urls import path

from . import owner_views, views

app_name = "shop"
urlpatterns = [
    path("sign-in", views.sign_in, name="sign_in"),
    path("sign-in/demo", views.demo_sign_in, name="demo_sign_in"),
    path("sign-out", views.sign_out, name="sign_out"),
    path("echo", views.echo_length, name="echo"),
    path("draft", views.draft, name="draft"),
    path("settings", owner_views.settings_page, name="settings"),
    path("people", owner_views.people, name="people"),
    path("people/<int:pk>", owner_views.person, name="person"),
]
