from django.urls import path

from . import views

urlpatterns = [
    path("<str:number>/quotes", views.quotes, name="quotes"),
    path("<str:number>/quotes/<int:quote>", views.quote, name="quote"),
    path("<str:number>/quotes/<int:quote>/link", views.make_link, name="quote_link"),
    path("<str:number>/quotes/<int:quote>/end-link", views.end_link, name="end_quote_link"),
    path("<str:number>/quotes/<int:quote>/print", views.print_link, name="print_quote_link"),
]
