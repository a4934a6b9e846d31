"""The public pages of kinds: no sign-in."""

from __future__ import annotations

from django.urls import path

from fruitbody.desk.records import kinds_public

app_name = "kinds"
urlpatterns = [
    path("", kinds_public.kinds_list, name="list"),
    path("<slug:taxon_id>/", kinds_public.kind, name="kind"),
]
