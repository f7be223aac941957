from django.urls import path

from . import family_views, paper_views, views

app_name = "review"
urlpatterns = [
    path("", views.families, name="families"),
    path("families.csv", views.export, name="export"),
    path("families.pdf", paper_views.paper, name="paper"),
    path("customers", views.customers, name="customers"),
    path("<int:pk>", family_views.family, name="family"),
    path("<int:pk>/accept", family_views.accept, name="accept"),
]
