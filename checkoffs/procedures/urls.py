"""Addresses of the procedures room."""

from django.urls import path

from checkoffs.procedures.views import bringing, editor, overview

urlpatterns = [
    path("", overview.procedure_list, name="list"),
    path("new/", bringing.new_page, name="new"),
    path("<uuid:procedure>/", overview.procedure_page, name="procedure"),
    path("<uuid:procedure>/versions/<int:number>/", overview.version_page, name="version"),
    path("<uuid:procedure>/draft/", overview.draft_page, name="draft"),
    path("<uuid:procedure>/draft/open/", editor.open_page, name="open_draft"),
    path("<uuid:procedure>/draft/discard/", overview.discard_page, name="discard_draft"),
    path("<uuid:procedure>/edit/", editor.edit_page, name="edit"),
    path("<uuid:procedure>/rule/", editor.rule_page, name="rule"),
    path("<uuid:procedure>/publish/", overview.publish_page, name="publish"),
    path("<uuid:procedure>/retire/", overview.retire_page, name="retire"),
]
