"""People and places as shown after a command: the row, and what should be seen to."""

from __future__ import annotations

from typing import Any

from practice.http.representations import Representation, with_warnings
from practice.law.fixtures import starter_limits
from practice.law.selectors import limits_on_record
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Competence, Licence, Practitioner
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.offboarding import (
    departed_practitioner_warnings,
    ended_account_warnings,
)
from practice.people_and_places.selectors.facilities import facilities_of_account
from practice.people_and_places.serializers.access import MyAccountOutputSerializer
from practice.people_and_places.serializers.facilities import FacilityInputSerializer
from practice.people_and_places.serializers.people import (
    CompetenceInputSerializer,
    LicenceInputSerializer,
    PractitionerInputSerializer,
    StaffInputSerializer,
)
from practice.people_and_places.services.facilities import missing_law_warnings
from practice.people_and_places.services.practitioners import (
    latest_today,
    licence_warnings,
    same_name_warnings,
)
from practice.people_and_places.services.sign_offs import own_sign_off_warnings
from practice.work.unit_of_work import UnitOfWork


def serialize_my_account(staff: Staff) -> Any:
    """An account as its owner reads it, with the facilities whose rows they see."""
    shown = {
        "id": staff.pk,
        "username": staff.username,
        "name": staff.name,
        "role": staff.role,
        "practitioner_id": staff.practitioner_id,
        "facilities": facilities_of_account(staff),
    }
    return MyAccountOutputSerializer(shown).data


def render_changed_account(_uow: UnitOfWork, row: Staff) -> Representation:
    """An account with what stands open where it was ended."""
    return with_warnings(StaffInputSerializer(row).data, ended_account_warnings(row), row.revision)


def render_new_practitioner(_uow: UnitOfWork, row: Practitioner) -> Representation:
    """A practitioner with whoever has the same name."""
    shown = PractitionerInputSerializer(row).data
    return with_warnings(shown, same_name_warnings(row), row.revision)


def render_changed_practitioner(_uow: UnitOfWork, row: Practitioner) -> Representation:
    """The same, and what stands open where they have left."""
    warnings = [*same_name_warnings(row), *departed_practitioner_warnings(row)]
    return with_warnings(PractitionerInputSerializer(row).data, warnings, row.revision)


def render_licence(uow: UnitOfWork, row: Licence) -> Representation:
    """A licence with what does not let it count today."""
    today = latest_today(row.practitioner_id, uow.now)
    return with_warnings(
        LicenceInputSerializer(row).data, licence_warnings(row, today), row.revision
    )


def render_competence(_uow: UnitOfWork, row: Competence) -> Representation:
    """A sign-off with a warning where nobody else stands for it."""
    shown = CompetenceInputSerializer(row).data
    return with_warnings(shown, own_sign_off_warnings(row), row.revision)


def render_facility(_uow: UnitOfWork, row: Facility) -> Representation:
    """A facility with how many limits its jurisdiction has on record; where it has none, a
    warning and the starter rows."""
    count = limits_on_record(row.jurisdiction)
    rows = [] if count else starter_limits(row.jurisdiction)
    shown = {
        **FacilityInputSerializer(row).data,
        "limits_on_record": count,
        "starter_rows": rows,
    }
    warnings = [] if count else missing_law_warnings(row.jurisdiction, starter_rows=bool(rows))
    return with_warnings(shown, warnings, row.revision)
