from django.urls import URLPattern, path

from . import explaining, views

urlpatterns: list[URLPattern] = [
    path("book/", views.book, name="book"),
    path("book/<slug:what>", views.book_page, name="book_page"),
    path("<str:number>/explain", explaining.explain, name="explain"),
]
