"""Addresses of the reports room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
