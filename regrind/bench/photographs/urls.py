from django.urls import path

from . import views

urlpatterns = [
    path("photo/<int:pk>", views.photo, name="photo"),
    path("photo/<int:pk>/add-again", views.add_again, name="add_photo_again"),
    path("<str:number>/photos", views.photos, name="photos"),
]
