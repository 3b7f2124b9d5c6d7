"""Names are one line, shown in the order in which they were typed."""

from __future__ import annotations

from typing import Any

import pytest
from rest_framework import serializers

from billing.authorizations.serializers import AuthorizationInputSerializer
from billing.summaries.serializers import VisitSummaryInputSerializer
from clients.consent.serializers import ConsentInputSerializer
from clients.health.serializers import HistoryReportInputSerializer
from practice.core.terms import Role
from practice.http.fields import NameField
from practice.people_and_places.serializers.people import CompetenceInputSerializer
from tests.builders import build_practice, refused


@pytest.mark.parametrize(
    "sign", ["\u202e", "\u200f", "\u2066", "\u061c", "\n", "\t", "\u2028", "\x85"]
)
def test_a_name_has_no_marks_of_direction_and_no_line_breaks(sign: str) -> None:
    with pytest.raises(serializers.ValidationError):
        NameField(max_length=40).run_validation(f"Ada{sign}Lindqvist")


@pytest.mark.parametrize(
    "name", ["Íñez O'Neil-Smith", "\u05d3\u05d5\u05d3", "李 小", "\u0646\u200c\u0645"]
)
def test_names_of_any_script_are_taken(name: str) -> None:
    assert NameField(max_length=40).run_validation(name) == name


@pytest.mark.parametrize(
    ("form", "field"),
    [
        (ConsentInputSerializer, "obtained_by"),
        (ConsentInputSerializer, "witness"),
        (ConsentInputSerializer, "guardian_name"),
        (ConsentInputSerializer, "interpreter_name"),
        (HistoryReportInputSerializer, "informant"),
        (CompetenceInputSerializer, "signed_off_by"),
        (AuthorizationInputSerializer, "number"),
        (AuthorizationInputSerializer, "member_id"),
        (VisitSummaryInputSerializer, "recipient"),
    ],
)
def test_names_and_numbers_on_paper_are_such_fields(form: Any, field: str) -> None:
    assert isinstance(form().fields[field], NameField)


@pytest.mark.django_db
@pytest.mark.parametrize("field", ["given_name", "family_name"])
def test_registration_refuses_them(field: str) -> None:
    built = build_practice()
    body = {
        "given_name": "Ada",
        "family_name": "Lindqvist",
        "birth_date": "1961-07-04",
        "facility_ids": [str(built.east.pk)],
        field: "Ada\u202egpj",
    }
    problem = refused(built.api(Role.OWNER).post("clients", body), 400, "invalid")
    assert [one["field"] for one in problem["errors"]] == [field]
