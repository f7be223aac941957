from django.urls import path

from . import card_views, coater_views, views

urlpatterns = [
    path("at-coater", coater_views.at_coater_list, name="at_coater_list"),
    path("<str:number>/grind", views.grind, name="grind"),
    path("<str:number>/setup-card", card_views.setup_card, name="setup_card"),
    path("<str:number>/at-coater", coater_views.at_coater, name="at_coater"),
]
