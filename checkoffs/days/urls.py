"""Addresses of the days room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
