"""One law for every query parameter: its name tells its kind, and nonsense is refused."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import django_filters
import pytest
from rest_framework import serializers

from clients.record.filters import ClientFacilityFilter, ClientFilter
from practice.core.terms import Role
from practice.http.fields import DayField, FlagField, InstantField, WholeNumberField
from practice.http.filters import (
    ChoiceFilter,
    DayFilter,
    FilterSet,
    InstantFilter,
    JurisdictionFilter,
    StrictBooleanFilter,
)
from tests.api.matrix import MATRIX
from tests.api.test_matrix import BY_NAME, SAMPLES, path_of
from tests.builders import Built, ok, refused
from tests.clients.bodies import CLIENT, CONSENT

NONSENSE = ("no-such-value", "", " ", "0001-01-01T00:00:00+23:59", "TRUE", "9999", "-1")
MAY_BE = {
    ("record-history", "after_version", "9999"),
    ("reminder-wordings", "language", "no-such-value"),
}
"""What is nonsense elsewhere and may well be meant here: a record may have so many events, and a
tag of this form a language, though none that we have: it is read in English."""
CHECKED_TEXT = {("stretch-list", "stretch")}
"""Filters of free text that are looked up in a table."""


def filtersets() -> Iterator[tuple[str, Role, type[FilterSet]]]:
    """Every list, a role that may read it, and the filters that it offers to that role."""
    for name, entry in sorted(BY_NAME.items()):
        found = getattr(entry.callback.view_class, "filterset_class", None)
        if isinstance(found, property):
            assert name == "client-list", f"say here which filters {name} offers to whom"
            yield name, Role.BILLING, ClientFacilityFilter
            yield name, Role.OWNER, ClientFilter
        elif found is not None:
            yield name, next(r for r in Role if r.value in MATRIX[name]["GET"]), found


def query_forms() -> Iterator[tuple[str, type[serializers.Serializer[Any]]]]:
    """Every address that reads its query by a form."""
    for name, entry in sorted(BY_NAME.items()):
        form = getattr(entry.callback.view_class, "query_form", None)
        if form is not None:
            yield name, form


FILTERS = [
    pytest.param(where, role, name, one, id=f"{where}-{role}-{name}")
    for where, role, kind in filtersets()
    for name, one in kind.base_filters.items()
]
FORMS = [
    pytest.param(where, name, field, id=f"{where}-{name}")
    for where, form in query_forms()
    for name, field in form().fields.items()
]


@pytest.fixture
def client_id(built: Built) -> str:
    """A client of the east, whose lists can be asked for."""
    return str(ok(built.api(Role.FRONT_DESK).post("clients", CLIENT), 201)["id"])


def named_as_day(name: str) -> bool:
    return name in ("from", "to", "on", "day") or name.endswith(("_from", "_to"))


def named_as_instant(name: str) -> bool:
    return name in ("since", "until") or name.endswith(("_since", "_until", "_at"))


def test_there_are_filters_and_forms_to_walk() -> None:
    assert len(FILTERS) > 40
    assert len(FORMS) > 15


@pytest.mark.parametrize(("where", "role", "name", "one"), FILTERS)
def test_the_name_of_a_filter_tells_its_kind(where: str, role: Role, name: str, one: Any) -> None:
    is_id = isinstance(one, django_filters.UUIDFilter)
    assert is_id == name.endswith("_id"), "an id filter is named <thing>_id"
    assert isinstance(one, DayFilter) == named_as_day(name)
    assert isinstance(one, InstantFilter) == named_as_instant(name)
    strict = (StrictBooleanFilter, ChoiceFilter, DayFilter, InstantFilter, JurisdictionFilter)
    if not is_id and not isinstance(one, strict):
        assert (where, name) in CHECKED_TEXT, f"{type(one).__name__} takes anything"
    if named_as_day(name):
        bound = "gte" if name.endswith("from") else "lte"
        assert one.lookup_expr == bound, "both ends of a range are included"


@pytest.mark.parametrize(("where", "name", "field"), FORMS)
def test_the_name_of_a_query_field_tells_its_kind(where: str, name: str, field: Any) -> None:
    assert isinstance(field, serializers.UUIDField) == name.endswith("_id")
    assert isinstance(field, DayField) == named_as_day(name)
    assert isinstance(field, InstantField) == named_as_instant(name)
    if isinstance(field, serializers.BooleanField):
        assert isinstance(field, FlagField)
    if isinstance(field, serializers.IntegerField):
        assert isinstance(field, WholeNumberField)
    assert type(field) is not serializers.CharField, "free text takes anything"


@pytest.mark.parametrize(("where", "role", "name", "one"), FILTERS)
def test_nonsense_in_a_filter_is_refused(
    built: Built, client_id: str, where: str, role: Role, name: str, one: Any
) -> None:
    path = path_of(BY_NAME[where]).replace(str(SAMPLES["UUIDConverter"]), client_id)
    api = built.api(role)
    for value in NONSENSE:
        problem = refused(api.get(path, {name: value}), 400, "invalid")
        assert {error["field"] for error in problem["errors"]} == {name}, value


@pytest.mark.parametrize(("where", "name", "field"), FORMS)
def test_nonsense_in_a_query_field_is_refused(where: str, name: str, field: Any) -> None:
    form = BY_NAME[where].callback.view_class.query_form
    for value in NONSENSE:
        if (where, name, value) in MAY_BE:
            continue
        with pytest.raises(serializers.ValidationError) as refusal:
            form.checked({name: value}, from_query=True)
        assert name in refusal.value.detail, value


def test_instants_beyond_the_calendar_are_refused(built: Built) -> None:
    owner = built.api(Role.OWNER)
    for name in ("since", "until"):
        for value in ("0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59"):
            refused(owner.get("access-log", {name: value}), 400, "invalid")


def test_flags_and_ranges_are_read_as_they_say(built: Built) -> None:
    owner = built.api(Role.OWNER)
    built.east.is_active = False
    built.east.save()

    def facilities(**query: str) -> set[str]:
        return {one["name"] for one in ok(owner.get("facilities", query))["results"]}

    assert facilities(is_active="true") == {"West"}
    assert facilities(is_active="false") == {"East"}
    assert facilities() == {"East", "West"}


def test_the_last_day_of_consent_is_a_range(built: Built, client_id: str) -> None:
    owner = built.api(Role.OWNER)
    therapist = built.api(Role.PRACTITIONER)
    body = {**CONSENT, "until": "2027-06-30"}
    ok(therapist.post(f"clients/{client_id}/touch-consent", body, match=1), 201)

    def found(**query: str) -> int:
        return len(ok(owner.get("clients", query))["results"])

    assert found(consent_ends_from="2027-06-30", consent_ends_to="2027-06-30") == 1
    assert found(consent_ends_from="2027-07-01") == 0
    assert found(consent_ends_to="2027-06-29") == 0
