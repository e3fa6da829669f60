"""Addresses of the records room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
