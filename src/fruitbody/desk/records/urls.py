from __future__ import annotations

from django.urls import path

from fruitbody.desk.records import funga_views, views

app_name = "records"
urlpatterns = [
    path("records/", views.records_list, name="list"),
    path("records/<slug:code>/", views.record, name="record"),
    path("funga/", funga_views.funga_list, name="funga"),
    path("funga/<slug:taxon_id>/", funga_views.taxon_page, name="taxon"),
]
