"""Practice settings: loaded where missing, changed with a citation, kept in their shape."""

import json

import msgspec
import pytest
from django.core.management import call_command

from practice.domain.terms import Role
from practice.eventlog import guards
from practice.models import PracticeSetting
from practice.selectors import settings_group
from practice.services import hooks
from practice.services.fixtures import fixtures_folder, load_missing_settings, settings_in_files
from tests.builders import Built, ok, refused


class Shape(msgspec.Struct, frozen=True):
    token_hours: int


def setting(key: str = "token_hours") -> PracticeSetting:
    return PracticeSetting.objects.get(group="access", key=key)


def test_every_setting_file_names_unit_meaning_and_citation() -> None:
    files = list((fixtures_folder() / "settings").glob("*.json"))
    assert files
    for (group, key), given in settings_in_files().items():
        assert set(given) >= {"value", "unit", "about", "citation"}, (group, key)
        assert given["citation"].strip(), (group, key)


def test_missing_settings_are_loaded_and_changed_ones_stay(db) -> None:
    assert PracticeSetting.objects.count() == len(settings_in_files())
    PracticeSetting.objects.filter(group="access").update(value=3)
    other = PracticeSetting.objects.exclude(group="access").first()
    if other is not None:
        other.delete()
    load_missing_settings()
    assert setting().value == 3
    assert PracticeSetting.objects.count() == len(settings_in_files())


@pytest.mark.django_db(transaction=True)
def test_settings_are_back_after_a_flush() -> None:
    PracticeSetting.objects.all().delete()
    with guards.lifted():  # PostgreSQL empties all tables in one statement, the log too.
        call_command("flush", interactive=False, verbosity=0)
    assert PracticeSetting.objects.count() == len(settings_in_files())


def test_a_group_is_a_frozen_struct_with_a_revision_that_grows(built: Built) -> None:
    values, before = settings_group("access", Shape)
    assert values.token_hours == 12
    body = {"value": 8, "citation": "policy of 9 March 2026"}
    ok(built.api(Role.OWNER).patch(f"settings/{setting().pk}", body))
    values, after = settings_group("access", Shape)
    assert values.token_hours == 8
    assert after == before + 1


@pytest.mark.parametrize("value", ["8", True, [8], {"hours": 8}, None])
def test_a_value_of_another_kind_is_refused(built: Built, value: object) -> None:
    body = {"value": value, "citation": "none"}
    refused(built.api(Role.OWNER).patch(f"settings/{setting().pk}", body), 400, "invalid")
    assert setting().value == 12


def test_a_value_that_does_not_fit_its_struct_is_refused(built: Built, monkeypatch) -> None:
    monkeypatch.setitem(hooks.shapes, "access", Shape)
    body = {"value": 7.5, "citation": "none"}
    problem = refused(built.api(Role.OWNER).patch(f"settings/{setting().pk}", body), 400, "invalid")
    assert "access.token_hours" in problem["errors"][0]["detail"]


def test_a_changed_value_needs_its_citation(built: Built) -> None:
    answer = built.api(Role.OWNER).patch(f"settings/{setting().pk}", {"value": 8})
    assert refused(answer, 400, "invalid")["errors"][0]["field"] == "citation"


def test_settings_are_listed_by_group(built: Built) -> None:
    api = built.api(Role.PRACTITIONER)
    found = ok(api.get("settings", {"group": "access"}))["results"]
    assert [row["key"] for row in found] == ["token_hours"]
    assert found[0]["unit"] == "hours"
    assert json.dumps(found[0]["value"]) == "12"
