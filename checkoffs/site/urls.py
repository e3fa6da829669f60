"""Addresses of the frame."""

from django.urls import URLPattern, path

from checkoffs.site import views

urlpatterns: list[URLPattern] = [
    path("", views.home, name="home"),
    path("help/", views.help_page, name="help"),
    path("health/", views.health, name="health"),
]
