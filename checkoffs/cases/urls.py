"""Addresses of the cases room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
