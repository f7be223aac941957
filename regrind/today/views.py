from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def page(request: HttpRequest) -> HttpResponse:
    return render(request, "today/page.html")
