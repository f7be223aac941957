from django.urls import path

from . import views

app_name = "office"
urlpatterns = [
    path("", views.page, name="page"),
    path("<str:number>/", views.batch, name="batch"),
    path("<str:number>/answer", views.answer, name="answer"),
    path("<str:number>/prices", views.prices, name="prices"),
    path("<str:number>/parcel", views.parcel, name="parcel"),
    path("<str:number>/parcel/<int:parcel_number>/undo", views.undo_parcel, name="undo_parcel"),
]
