"""Addresses of the people room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
