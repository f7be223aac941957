from django.urls import path

from . import measuring, views

urlpatterns = [
    path("photo/<int:pk>", views.photo, name="photo"),
    path("photo/<int:pk>/add-again", views.add_again, name="add_photo_again"),
    path("photo/<int:pk>/measure", measuring.measure, name="measure_photo"),
    path("<str:number>/photos", views.photos, name="photos"),
]
