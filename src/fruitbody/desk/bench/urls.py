from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from fruitbody.desk.bench import notebook_urls, views_bags, views_boxes, views_lineage, views_receiving, views_today

app_name = "bench"
urlpatterns: list[URLPattern | URLResolver] = [
    path("today/", views_today.today, name="today"),
    path("receiving/", views_receiving.receiving, name="receiving"),
    path("receiving/no-form/", views_receiving.no_form, name="no_form"),
    path("receiving/box/", views_boxes.box_in, name="box_in"),
    path("receiving/box/<slug:number>/", views_boxes.box, name="box"),
    path("receiving/bag/<slug:number>/", views_bags.bag, name="bag"),
    path("receiving/bag/<slug:number>/photo/", views_bags.bag_photo, name="bag_photo"),
    path("receiving/bag/<slug:number>/ask/", views_bags.bag_ask, name="bag_ask"),
    path("receiving/bag/<slug:number>/sender/", views_bags.bag_sender, name="bag_sender"),
    path("receiving/bag/<slug:number>/tie/", views_bags.bag_tie, name="bag_tie"),
    path("receiving/bag/<slug:number>/labels.pdf", views_bags.bag_labels, name="bag_labels"),
    path("receiving/kind/<int:pk>/split/", views_lineage.split_kind, name="split"),
    path("receiving/kind/<int:pk>/merge/", views_lineage.merge_kind, name="merge"),
    path("receiving/<slug:code>/", views_receiving.receive_submission, name="receive"),
    *notebook_urls.urlpatterns,
]
