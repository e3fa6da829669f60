"""Addresses of the procedures room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
