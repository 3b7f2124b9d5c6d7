"""Practitioners, licences, sign-offs, supervision."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.forms.people import (
    CompetenceForm,
    LicenceAnswer,
    LicenceForm,
    PractitionerAnswer,
    PractitionerForm,
    SupervisionForm,
)
from practice.api.roles import ANY_STAFF, OWNER_ONLY
from practice.api.views import Answer, ApiView, ListView, warned
from practice.domain.reasons import existing
from practice.domain.terms import Credential
from practice.eventlog.runner import Work
from practice.models import Licence, Practitioner, Supervision
from practice.selectors import (
    competences_of,
    licences_of,
    practitioners_visible,
    visible_facilities,
)
from practice.services import practitioners as services
from practice.services.leaving import of_leaver


def practitioner_get(view: ApiView, request: Request, practitioner_id: UUID) -> Practitioner:
    """A practitioner that the caller may see. Raises Rejected 404."""
    return existing(
        practitioners_visible(view.actor(request)).filter(pk=practitioner_id).first(),
        "practitioner",
    )


def _licence(work: Work, row: Licence) -> Answer:
    """A licence with what does not let it count."""
    today = services.latest_today(row.practitioner_id, work.now)
    return warned(LicenceForm(row).data, services.licence_warnings(row, today), row.revision)


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
    get=described("List practitioners", gives=PractitionerForm(many=True), tags=["people"]),
    post=described(
        "Add a practitioner",
        takes=PractitionerForm,
        gives=PractitionerAnswer,
        status=201,
        refuses=(409,),
        idempotency="optional",
        tags=["people"],
    ),
)
class Practitioners(ListView):
    """Practitioners of the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = PractitionerForm
    filterset_class = PractitionerFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Those of my facilities."""
        rows = practitioners_visible(self.actor(self.request))
        return rows.prefetch_related("facilities", "working_hours")

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """A new practitioner."""
        given = PractitionerForm.checked(request.data)

        def act(work: Any) -> Answer:
            row = services.practitioner_add(work, given)
            return warned(PractitionerForm(row).data, services.namesakes(row), row.revision)

        return self.command(request, act, status=201)


@extend_schema_view(
    get=described("Read a practitioner", gives=PractitionerForm, refuses=(404,), tags=["people"]),
    patch=described(
        "Change a practitioner or her working hours",
        takes=PractitionerForm(partial=True),
        gives=PractitionerAnswer,
        refuses=(404, 409),
        if_match="optional",
        tags=["people"],
    ),
)
class OnePractitioner(ApiView):
    """One practitioner."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """The practitioner with her revision as ETag."""
        row = practitioner_get(self, request, practitioner_id)
        return self.shown(PractitionerForm(row).data, version=row.revision)

    def patch(self, request: Request, practitioner_id: UUID) -> Any:
        """Change what is given."""
        given = PractitionerForm.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = services.practitioner_change(work, practitioner_id, given, match)
            found = [*services.namesakes(row), *of_leaver(row)]
            return warned(PractitionerForm(row).data, found, row.revision)

        return self.command(request, act)


@extend_schema_view(
    get=described(
        "List a practitioner's licences",
        gives=LicenceForm(many=True),
        refuses=(404,),
        tags=["people"],
    ),
    post=described(
        "Record a licence",
        takes=LicenceForm,
        gives=LicenceAnswer,
        status=201,
        refuses=(404, 409),
        idempotency="optional",
        tags=["people"],
    ),
)
class Licences(ListView):
    """Licences of one practitioner."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = LicenceForm
    order = ("expires_on", "id")

    def get_queryset(self) -> Any:
        """Expired ones too."""
        return licences_of(self.kwargs.get("practitioner_id"))

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """One page."""
        practitioner_get(self, request, practitioner_id)
        return self.listed(request)

    def post(self, request: Request, practitioner_id: UUID) -> Any:
        """A new licence."""
        given = LicenceForm.checked(request.data)

        def act(work: Any) -> Answer:
            row = services.licence_add(work, practitioner_id, given)
            return _licence(work, row)

        return self.command(request, act, status=201)


@extend_schema_view(
    patch=described(
        "Renew or correct a licence",
        takes=LicenceForm(partial=True),
        gives=LicenceAnswer,
        refuses=(404, 409),
        if_match="optional",
        tags=["people"],
    )
)
class OneLicence(ApiView):
    """One licence."""

    roles = {"PATCH": OWNER_ONLY}

    def patch(self, request: Request, practitioner_id: UUID, licence_id: UUID) -> Any:
        """Change what is given."""
        given = LicenceForm.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = services.licence_change(work, practitioner_id, licence_id, given, match)
            return _licence(work, row)

        return self.command(request, act)


@extend_schema_view(
    get=described(
        "List the techniques a practitioner is signed off for",
        gives=CompetenceForm(many=True),
        refuses=(404,),
        tags=["people"],
    ),
    post=described(
        "Sign a practitioner off for a technique",
        takes=CompetenceForm,
        gives=CompetenceForm,
        status=201,
        refuses=(404, 409),
        idempotency="optional",
        description="To correct a sign-off, take it back and add it anew.",
        tags=["people"],
    ),
)
class Competences(ListView):
    """Sign-offs of one practitioner."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = CompetenceForm
    order = ("technique", "id")

    def get_queryset(self) -> Any:
        """Those in force."""
        return competences_of(self.kwargs.get("practitioner_id"))

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """One page."""
        practitioner_get(self, request, practitioner_id)
        return self.listed(request)

    def post(self, request: Request, practitioner_id: UUID) -> Any:
        """A new sign-off."""
        given = CompetenceForm.checked(request.data)
        return self.command(
            request,
            lambda work: CompetenceForm(services.competence_add(work, practitioner_id, given)).data,
            status=201,
        )


@extend_schema_view(
    delete=described("Take a sign-off back", status=204, refuses=(404,), tags=["people"])
)
class OneCompetence(ApiView):
    """One sign-off."""

    roles = {"DELETE": OWNER_ONLY}

    def delete(self, request: Request, practitioner_id: UUID, competence_id: UUID) -> Any:
        """Take it back; future sessions are judged again."""
        return self.command(
            request,
            lambda work: services.competence_remove(work, practitioner_id, competence_id),
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
    get=described("List supervisions", gives=SupervisionForm(many=True), tags=["people"]),
    post=described(
        "Name who supervises whom on a day",
        takes=SupervisionForm,
        gives=SupervisionForm,
        status=201,
        idempotency="optional",
        tags=["people"],
    ),
)
class Supervisions(ListView):
    """Supervisions at the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = SupervisionForm
    filterset_class = SupervisionFilter
    order = ("-day", "id")

    def get_queryset(self) -> Any:
        """Those at my facilities."""
        mine = visible_facilities(self.actor(self.request)).values("pk")
        return Supervision.objects.filter(facility__in=mine)

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """Name a supervisor."""
        given = SupervisionForm.checked(request.data)
        return self.command(
            request,
            lambda work: SupervisionForm(services.supervision_add(work, given)).data,
            status=201,
        )


@extend_schema_view(
    delete=described("Take a supervision back", status=204, refuses=(404,), tags=["people"])
)
class OneSupervision(ApiView):
    """One supervision."""

    roles = {"DELETE": OWNER_ONLY}

    def delete(self, request: Request, supervision_id: UUID) -> Any:
        """Take it back; future sessions are judged again."""
        return self.command(
            request, lambda work: services.supervision_remove(work, supervision_id), status=204
        )
