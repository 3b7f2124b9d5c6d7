"""The program's addresses and, beside them, the plain endpoint."""

from practice.urls import urlpatterns

__all__ = ["urlpatterns"]
