from django.urls import path

from . import views

urlpatterns = [
    path("mail", views.outbox, name="outbox"),
    path("mail/test", views.test_mail, name="test_mail"),
    path("mail/<int:pk>", views.decide_mail, name="decide_mail"),
    path("<str:number>/mail", views.batch_mail, name="batch_mail"),
]
