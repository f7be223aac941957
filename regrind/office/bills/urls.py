from django.urls import path

from . import export_views, owner_views, views

urlpatterns = [
    path("bills", views.page, name="bills"),
    path("bills/new/<int:pk>", views.new, name="new_bill"),
    path("bills/bill/<str:number>", views.bill, name="bill"),
    path("bills/bill/<str:number>/credit", views.credit, name="credit_bill"),
    path("bills/bill/<str:number>/e-invoice", export_views.e_invoice, name="e_invoice"),
    path("bills/bill/<str:number>/paid", views.paid, name="pay_bill"),
    path("bills/statement/<int:pk>", views.statement, name="statement"),
    path("bills/export", export_views.export, name="bill_export"),
    path("bills/columns", export_views.columns, name="bill_columns"),
    path("bills/months", views.months, name="bill_months"),
    path("bills/terms", owner_views.shop_terms, name="bill_terms"),
    path("bills/terms/<int:pk>", owner_views.customer_terms, name="customer_bill_terms"),
]
