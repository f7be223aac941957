from django.urls import path

from . import views

urlpatterns = [
    path("photo/<int:pk>", views.photo, name="photo"),
    path("photo/<int:pk>/<str:do>", views.change_photo, name="change_photo"),
    path("<str:number>/photos", views.photos, name="photos"),
]
