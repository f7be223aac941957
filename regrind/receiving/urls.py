from django.urls import path

from . import (
    batch_action_views,
    box_views,
    customer_views,
    family_views,
    import_views,
    line_views,
    list_views,
    piece_views,
)

app_name = "receiving"
urlpatterns = [
    path("", box_views.batches, name="batches"),
    path("new", box_views.new, name="new"),
    path("customers", customer_views.customers, name="customers"),
    path("customers/import", import_views.import_customers, name="import_customers"),
    path("customers/new", customer_views.new_customer, name="new_customer"),
    path("customers/<int:pk>", customer_views.customer, name="customer"),
    path("families", family_views.families, name="families"),
    path("families/import", import_views.import_families, name="import_families"),
    path("families/<int:pk>", family_views.family, name="family"),
    path("families/<int:pk>/merge", family_views.merge, name="merge_family"),
    path("merges/<int:pk>/take-apart", family_views.apart, name="take_apart"),
    path("line/<str:number>", line_views.line, name="line"),
    path("line/<str:number>/kind", line_views.kind, name="kind"),
    path("line/<str:number>/confirm", line_views.confirm, name="confirm"),
    path("line/<str:number>/<str:action>", line_views.line_action, name="line_action"),
    path("piece/<str:number>/known", piece_views.known, name="known"),
    path("piece/<str:number>/complaint", piece_views.complaint, name="complaint"),
    path("piece/<str:number>/forget", piece_views.forget, name="forget"),
    path("piece/<str:number>/withdraw", piece_views.withdraw, name="withdraw"),
    path("<str:number>/", box_views.batch, name="batch"),
    path("<str:number>/lines", box_views.lines, name="lines"),
    path("<str:number>/list", list_views.packing_list, name="packing_list"),
    path("<str:number>/mend/<str:action>", batch_action_views.batch_action, name="batch_action"),
    path("<str:number>/foreign-item", box_views.foreign_item, name="foreign_item"),
]
