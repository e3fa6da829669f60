"""Addresses of the attempts room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
