"""Who supervises whom on a day."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.filters import FilterSet
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.http.views import ApiView, ListView
from practice.people_and_places.models.practitioners import Supervision
from practice.people_and_places.selectors.facilities import (
    visible_facilities,
)
from practice.people_and_places.serializers.people import (
    SupervisionSerializer,
)
from practice.people_and_places.services import practitioners as services


class SupervisionFilter(FilterSet):
    """Filters of the list of supervisions."""

    facility_id = django_filters.UUIDFilter(help_text="At one facility.")
    supervised_id = django_filters.UUIDFilter(help_text="Of one practitioner.")
    day_from = django_filters.DateFilter(
        field_name="day", lookup_expr="gte", help_text="From this local day on."
    )
    day_to = django_filters.DateFilter(
        field_name="day", lookup_expr="lte", help_text="Until this local day, included."
    )

    class Meta:
        model = Supervision
        fields = ("facility_id", "supervised_id")


@extend_schema_view(
    get=endpoint("List supervisions", response=SupervisionSerializer(many=True), tags=["people"]),
    post=endpoint(
        "Name who supervises whom on a day",
        request=SupervisionSerializer,
        response=SupervisionSerializer,
        status=201,
        idempotency="optional",
        tags=["people"],
    ),
)
class SupervisionListView(ListView):
    """Supervisions at the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = SupervisionSerializer
    filterset_class = SupervisionFilter
    order = ("-day", "id")

    def get_queryset(self) -> Any:
        """Those at my facilities."""
        mine = visible_facilities(self.actor(self.request)).values("pk")
        return Supervision.objects.filter(facility__in=mine)

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """Name a supervisor."""
        given = SupervisionSerializer.checked(request.data)
        return self.command(
            request,
            lambda uow: SupervisionSerializer(services.supervision_add(uow, given)).data,
            status=201,
        )


@extend_schema_view(
    delete=endpoint("Take a supervision back", status=204, errors=(404,), tags=["people"])
)
class SupervisionDetailView(ApiView):
    """One supervision."""

    roles = {"DELETE": OWNER_ONLY}

    def delete(self, request: Request, supervision_id: UUID) -> Any:
        """Take it back; future sessions are judged again."""
        return self.command(
            request, lambda uow: services.supervision_remove(uow, supervision_id), status=204
        )
