"""Practitioners, licences, sign-offs, supervision."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.reasons import existing
from practice.core.terms import Credential
from practice.http.filters import FilterSet
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.http.views import ApiView, CommandResponse, ListView, with_warnings
from practice.people_and_places.models.practitioners import Licence, Practitioner, Supervision
from practice.people_and_places.offboarding import departed_practitioner_warnings
from practice.people_and_places.selectors.facilities import (
    visible_facilities,
    visible_practitioners,
)
from practice.people_and_places.selectors.practitioners import competences_of, licences_of
from practice.people_and_places.serializers.people import (
    CompetenceSerializer,
    LicenceInputSerializer,
    LicenceOutputSerializer,
    PractitionerInputSerializer,
    PractitionerOutputSerializer,
    SupervisionEndInputSerializer,
    SupervisionEndOutputSerializer,
    SupervisionSerializer,
)
from practice.people_and_places.services import practitioners as services
from practice.work.unit_of_work import UnitOfWork


def practitioner_get(view: ApiView, request: Request, practitioner_id: UUID) -> Practitioner:
    """A practitioner that the caller may see. Raises Rejected 404."""
    return existing(
        visible_practitioners(view.actor(request)).filter(pk=practitioner_id).first(),
        "practitioner",
    )


def _licence_with_warnings(uow: UnitOfWork, row: Licence) -> CommandResponse:
    """A licence with what does not let it count."""
    today = services.latest_today(row.practitioner_id, uow.now)
    return with_warnings(
        LicenceInputSerializer(row).data, services.licence_warnings(row, today), row.revision
    )


class PractitionerFilter(FilterSet):
    """Filters of the list of practitioners."""

    facility_id = django_filters.UUIDFilter(
        field_name="facilities", help_text="Those who work at one facility."
    )
    credential = django_filters.ChoiceFilter(
        choices=[(c.value, c.value) for c in Credential], help_text="Those of one credential."
    )
    is_active = django_filters.BooleanFilter(help_text="false for those who have left.")

    class Meta:
        model = Practitioner
        fields = ("facility_id", "credential", "is_active")


@extend_schema_view(
    get=endpoint(
        "List practitioners", response=PractitionerInputSerializer(many=True), tags=["people"]
    ),
    post=endpoint(
        "Add a practitioner",
        request=PractitionerInputSerializer,
        response=PractitionerOutputSerializer,
        status=201,
        errors=(409,),
        idempotency="optional",
        tags=["people"],
    ),
)
class PractitionerListView(ListView):
    """Practitioners of the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = PractitionerInputSerializer
    filterset_class = PractitionerFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Those of my facilities."""
        rows = visible_practitioners(self.actor(self.request))
        return rows.prefetch_related("facilities", "working_hours")

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """A new practitioner."""
        given = PractitionerInputSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = services.practitioner_add(uow, given)
            return with_warnings(
                PractitionerInputSerializer(row).data,
                services.same_name_warnings(row),
                row.revision,
            )

        return self.command(request, execute, status=201)


@extend_schema_view(
    get=endpoint(
        "Read a practitioner", response=PractitionerInputSerializer, errors=(404,), tags=["people"]
    ),
    patch=endpoint(
        "Change a practitioner or her working hours",
        request=PractitionerInputSerializer(partial=True),
        response=PractitionerOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        tags=["people"],
    ),
)
class PractitionerDetailView(ApiView):
    """One practitioner."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """The practitioner with her revision as ETag."""
        row = practitioner_get(self, request, practitioner_id)
        return self.read_response(PractitionerInputSerializer(row).data, version=row.revision)

    def patch(self, request: Request, practitioner_id: UUID) -> Any:
        """Change what is given."""
        given = PractitionerInputSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = services.practitioner_change(uow, practitioner_id, given, match)
            found = [*services.same_name_warnings(row), *departed_practitioner_warnings(row)]
            return with_warnings(PractitionerInputSerializer(row).data, found, row.revision)

        return self.command(request, execute)


@extend_schema_view(
    get=endpoint(
        "List a practitioner's licences",
        response=LicenceInputSerializer(many=True),
        errors=(404,),
        tags=["people"],
    ),
    post=endpoint(
        "Record a licence",
        request=LicenceInputSerializer,
        response=LicenceOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="optional",
        tags=["people"],
    ),
)
class LicenceListView(ListView):
    """Licences of one practitioner."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = LicenceInputSerializer
    order = ("expires_on", "id")

    def get_queryset(self) -> Any:
        """Expired ones too."""
        return licences_of(self.kwargs.get("practitioner_id"))

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """One page."""
        practitioner_get(self, request, practitioner_id)
        return self.list_response(request)

    def post(self, request: Request, practitioner_id: UUID) -> Any:
        """A new licence."""
        given = LicenceInputSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = services.licence_add(uow, practitioner_id, given)
            return _licence_with_warnings(uow, row)

        return self.command(request, execute, status=201)


@extend_schema_view(
    patch=endpoint(
        "Renew or correct a licence",
        request=LicenceInputSerializer(partial=True),
        response=LicenceOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        tags=["people"],
    )
)
class LicenceDetailView(ApiView):
    """One licence."""

    roles = {"PATCH": OWNER_ONLY}

    def patch(self, request: Request, practitioner_id: UUID, licence_id: UUID) -> Any:
        """Change what is given."""
        given = LicenceInputSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = services.licence_change(uow, practitioner_id, licence_id, given, match)
            return _licence_with_warnings(uow, row)

        return self.command(request, execute)


@extend_schema_view(
    get=endpoint(
        "List the techniques a practitioner is signed off for",
        response=CompetenceSerializer(many=True),
        errors=(404,),
        tags=["people"],
    ),
    post=endpoint(
        "Sign a practitioner off for a technique",
        request=CompetenceSerializer,
        response=CompetenceSerializer,
        status=201,
        errors=(404, 409),
        idempotency="optional",
        description="To correct a sign-off, take it back and add it anew.",
        tags=["people"],
    ),
)
class CompetenceListView(ListView):
    """Sign-offs of one practitioner."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = CompetenceSerializer
    order = ("technique", "id")

    def get_queryset(self) -> Any:
        """Those in force."""
        return competences_of(self.kwargs.get("practitioner_id"))

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """One page."""
        practitioner_get(self, request, practitioner_id)
        return self.list_response(request)

    def post(self, request: Request, practitioner_id: UUID) -> Any:
        """A new sign-off."""
        given = CompetenceSerializer.checked(request.data)
        return self.command(
            request,
            lambda uow: (
                CompetenceSerializer(services.competence_add(uow, practitioner_id, given)).data
            ),
            status=201,
        )


@extend_schema_view(
    delete=endpoint("Take a sign-off back", status=204, errors=(404,), tags=["people"])
)
class CompetenceDetailView(ApiView):
    """One sign-off."""

    roles = {"DELETE": OWNER_ONLY}

    def delete(self, request: Request, practitioner_id: UUID, competence_id: UUID) -> Any:
        """Take it back; future sessions are judged again."""
        return self.command(
            request,
            lambda uow: services.competence_remove(uow, practitioner_id, competence_id),
            status=204,
        )


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
    delete=endpoint(
        "Take a supervision back",
        status=204,
        errors=(404, 409),
        description="409 `supervision_in_use` where a signed note rests on it, naming the note.",
        tags=["people"],
    )
)
class SupervisionDetailView(ApiView):
    """One supervision."""

    roles = {"DELETE": OWNER_ONLY}

    def delete(self, request: Request, supervision_id: UUID) -> Any:
        """Take it back; future sessions are judged again."""
        return self.command(
            request, lambda uow: services.supervision_remove(uow, supervision_id), status=204
        )


@extend_schema_view(
    post=endpoint(
        "End a supervision from a day on",
        request=SupervisionEndInputSerializer,
        response=SupervisionEndOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        description="Earlier days stay, and what rests on them. Future sessions are judged again.",
        tags=["people"],
    )
)
class SupervisionEndingView(ApiView):
    """A practitioner's supervision at a facility ends."""

    roles = {"POST": OWNER_ONLY}

    def post(self, request: Request) -> Any:
        """End it."""
        given = SupervisionEndInputSerializer.checked(request.data)
        return self.command(request, lambda uow: {"days": services.supervision_end(uow, **given)})
