"""Addresses of the attempts room."""

from django.urls import URLPattern, path

from checkoffs.attempts import views, views_sync

urlpatterns: list[URLPattern] = [
    path("open/", views.open_page, name="open"),
    path("no-show/", views.no_show, name="no_show"),
    path("sheets/<uuid:sheet>/", views_sync.sheet_page, name="sheet"),
    path("sheets/<uuid:sheet>/bundle/", views_sync.bundle, name="bundle"),
    path("sheets/<uuid:sheet>/events/", views_sync.events, name="events"),
    path("sheets/<uuid:sheet>/take-over/", views_sync.take_over, name="take_over"),
    path("sheets/<uuid:sheet>/hand-over/", views.hand_over, name="hand_over"),
    path("<uuid:attempt>/second-sheet/", views.second_sheet, name="second_sheet"),
    path("<uuid:attempt>/move/", views.move, name="move"),
]
