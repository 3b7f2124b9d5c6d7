"""Addresses below /api/v1/."""

from django.urls import path

from clients.orders import views

urlpatterns = [
    path("clients/<uuid:client_id>/orders", views.OrderListView.as_view(), name="order-list"),
    path(
        "clients/<uuid:client_id>/orders/<uuid:order_id>/lifting",
        views.OrderLiftView.as_view(),
        name="order-lifting",
    ),
    path(
        "clients/<uuid:client_id>/orders/<uuid:order_id>/precedence",
        views.OrderPrecedenceView.as_view(),
        name="order-precedence",
    ),
]
