from django.urls import path

from . import views

app_name = "receiving"
urlpatterns = [
    path("", views.batches, name="batches"),
    path("new", views.new, name="new"),
    path("customers", views.customers, name="customers"),
    path("customers/new", views.new_customer, name="new_customer"),
    path("customers/<int:pk>", views.customer, name="customer"),
    path("families", views.families, name="families"),
    path("line/<str:number>", views.line, name="line"),
    path("line/<str:number>/family", views.family, name="family"),
    path("line/<str:number>/<str:what>", views.line_do, name="line_do"),
    path("<str:number>/", views.batch, name="batch"),
    path("<str:number>/lines", views.lines, name="lines"),
    path("<str:number>/stray", views.stray, name="stray"),
]
