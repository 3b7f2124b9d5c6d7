"""Practice settings: loaded where missing, changed with a citation, kept in their shape."""

import json

import msgspec
import pytest
from django.core.management import call_command

from practice.core.appspec import installed
from practice.core.terms import Role
from practice.eventstore import guards
from practice.policy.domain.bounds import bounds_text, out_of_bounds_text
from practice.policy.fixtures import fixtures_folder, load_missing_settings, settings_in_files
from practice.policy.hooks import UPCOMING_SESSION_COUNTS
from practice.policy.models import PracticeSetting
from practice.policy.selectors import settings_group
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
    with guards.without_guards():  # PostgreSQL empties all tables in one statement, the log too.
        call_command("flush", interactive=False, verbosity=0)
    assert PracticeSetting.objects.count() == len(settings_in_files())


def test_a_group_is_a_frozen_struct_with_a_revision_that_grows(built: Built) -> None:
    values, before = settings_group("access", Shape)
    assert values.token_hours == 12
    body = {"value": 8, "citation": "policy of 9 March 2026"}
    ok(built.api(Role.OWNER).patch(f"settings/{setting().pk}", body, match=1))
    values, after = settings_group("access", Shape)
    assert values.token_hours == 8
    assert after == before + 1


@pytest.mark.parametrize("value", ["8", True, [8], {"hours": 8}, None])
def test_a_value_of_another_kind_is_refused(built: Built, value: object) -> None:
    body = {"value": value, "citation": "none"}
    refused(built.api(Role.OWNER).patch(f"settings/{setting().pk}", body, match=1), 400, "invalid")
    assert setting().value == 12


def test_a_value_that_does_not_fit_its_struct_is_refused(built: Built, monkeypatch) -> None:
    monkeypatch.setitem(installed.settings, "access", Shape)
    body = {"value": 7.5, "citation": "none"}
    problem = refused(
        built.api(Role.OWNER).patch(f"settings/{setting().pk}", body, match=1), 400, "invalid"
    )
    assert "access.token_hours" in problem["errors"][0]["detail"]


def test_a_changed_value_needs_its_citation(built: Built) -> None:
    answer = built.api(Role.OWNER).patch(f"settings/{setting().pk}", {"value": 8}, match=1)
    assert refused(answer, 400, "invalid")["errors"][0]["field"] == "citation"


def test_settings_are_listed_by_group(built: Built) -> None:
    api = built.api(Role.PRACTITIONER)
    found = ok(api.get("settings", {"group": "access"}))["results"]
    assert [row["key"] for row in found] == [
        "sign_in_forget_minutes",
        "sign_in_free_tries",
        "sign_in_known_days",
        "sign_in_longest_pause_seconds",
        "token_hours",
    ]
    assert found[-1]["unit"] == "hours"
    assert json.dumps(found[-1]["value"]) == "12"


def of(group: str, key: str) -> PracticeSetting:
    return PracticeSetting.objects.get(group=group, key=key)


@pytest.mark.parametrize(
    ("group", "key", "value"),
    [
        ("permissions", "contract_relax_weeks", -4),
        ("permissions", "contract_relax_weeks", 0),
        ("permissions", "arm_limit_days", 400),
        ("permissions", "fever_celsius", 45),
        ("measurement", "errors", {"goniometer": {"same_rater": 90, "two_raters": 20}}),
        ("rechecks", "intervals_months", [2, -6, 12]),
        ("rechecks", "intervals_months", [12, 6, 2]),
        ("rechecks", "intervals_months", []),
        ("session_split", "reserve_light", [39, 30]),
        ("access", "token_hours", 1_000_000),
    ],
)
def test_a_safety_threshold_cannot_be_set_to_nonsense(
    built: Built, group: str, key: str, value: object, monkeypatch
) -> None:
    monkeypatch.setattr(installed, "settings", {})
    row = of(group, key)
    body = {"value": value, "citation": "a slip"}
    refused(built.api(Role.OWNER).patch(f"settings/{row.pk}", body, match=1), 400, "out_of_bounds")
    assert of(group, key).value == row.value


def test_the_refusal_names_the_bounds_and_so_does_the_list(built: Built) -> None:
    row, owner = of("permissions", "contract_relax_weeks"), built.api(Role.OWNER)
    shown = ok(owner.get(f"settings/{row.pk}"))
    body = {"value": -4, "citation": "a slip"}
    problem = refused(owner.patch(f"settings/{row.pk}", body, match=1), 400, "out_of_bounds")
    assert f"{shown['minimum']:g} to {shown['maximum']:g} (weeks)" in problem["errors"][0]["detail"]


def test_what_ships_without_a_negative_number_takes_none(db) -> None:
    for (group, key), given in settings_in_files().items():
        row = of(group, key)
        numbers = (
            out_of_bounds_text(given["value"], minimum=0, maximum=None, unit="", shipped=None)
            is None
        )
        if numbers and row.minimum is not None:
            assert row.minimum >= 0, (group, key)
        wrong = out_of_bounds_text(
            given["value"],
            minimum=row.minimum,
            maximum=row.maximum,
            unit=row.unit,
            shipped=given["value"],
        )
        assert wrong is None, (group, key)


def test_bounds_of_the_files_reach_rows_that_are_there(db) -> None:
    PracticeSetting.objects.filter(group="access").update(minimum=None, maximum=None, value=3)
    load_missing_settings()
    assert (setting().minimum, setting().maximum, setting().value) == (1, 24, 3)


def test_bounds_are_told_in_words() -> None:
    assert bounds_text(4, 52, "weeks") == "4 to 52 (weeks)"
    assert bounds_text(0, None, "") == "at least 0"
    assert bounds_text(None, 7.5, "") == "at most 7.5"


def test_a_change_says_how_many_sessions_are_judged_again(built: Built, monkeypatch) -> None:
    monkeypatch.setitem(installed.extensions, UPCOMING_SESSION_COUNTS, (lambda practitioner: 7,))
    owner, body = built.api(Role.OWNER), {"value": 8, "citation": "policy"}
    fever = of("permissions", "fever_celsius")
    warmer = {"value": 38.1, "citation": "policy"}
    changed = ok(owner.patch(f"settings/{fever.pk}", warmer, match=fever.revision))
    assert changed["sessions_reevaluated"] == 7
    changed = ok(owner.patch(f"settings/{setting().pk}", body, match=1))
    assert changed["sessions_reevaluated"] == 0, "nothing permitted depends on it"


def test_a_threshold_is_changed_only_by_whoever_has_read_it_ruling_b7(built: Built) -> None:
    owner, row = built.api(Role.OWNER), of("permissions", "fever_celsius")
    body = {"value": 38.1, "citation": "practice policy"}
    refused(owner.patch(f"settings/{row.pk}", body), 428, "version_required")
    refused(owner.patch(f"settings/{row.pk}", body, HTTP_IF_MATCH="*"), 400, "invalid_if_match")
    assert of("permissions", "fever_celsius").value == row.value
    ok(owner.patch(f"settings/{row.pk}", body, match=row.revision))
    refused(owner.patch(f"settings/{row.pk}", body, match=row.revision), 412, "stale_version")
    assert of("permissions", "fever_celsius").value == 38.1
