from __future__ import annotations

from django.urls import path

from fruitbody.desk.records import funga_views, how_good, name_views, views

app_name = "records"
urlpatterns = [
    path("records/", views.records_list, name="list"),
    path("records/<slug:code>/", views.record, name="record"),
    path("names/", name_views.names_page, name="names"),
    path("names/<int:pk>/decide/", name_views.decide_name, name="decide_name"),
    path("funga/", funga_views.funga_list, name="funga"),
    path("funga/how-good/", how_good.how_good, name="how_good"),
    path("funga/<slug:taxon_id>/", funga_views.taxon_page, name="taxon"),
    path("funga/<slug:taxon_id>/sheet.pdf", funga_views.taxon_sheet_pdf, name="taxon_sheet"),
]
