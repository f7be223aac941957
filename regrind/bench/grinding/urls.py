from django.urls import path

from . import card_views, coater_views, views

urlpatterns = [
    path("away", coater_views.away_list, name="away_list"),
    path("<str:number>/grind", views.grind, name="grind"),
    path("<str:number>/setup-card", card_views.setup_card, name="setup_card"),
    path("<str:number>/away", coater_views.away, name="away"),
]
