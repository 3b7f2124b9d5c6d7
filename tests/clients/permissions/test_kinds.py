"""Practitioners who are alike get the same verdict; its quick bound is never narrower."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.consent.domain.events import NarrowedScope
from clients.permissions.domain.evaluation import evaluate_session
from clients.permissions.domain.inputs import PermissionFacts, SupervisionFacts
from clients.permissions.domain.kinds import kind_of
from clients.permissions.domain.results import MODE_WIDTH
from clients.preference.domain.state import PreferenceException, ProviderPreference
from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import Credential, Gender
from tests.clients.permissions import chapters
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
OTHER = UUID(int=77)


def seen(facts: PermissionFacts) -> object:
    return kind_of(facts.client, facts.practitioner, facts.supervision)


def with_another(facts: PermissionFacts, who: UUID) -> PermissionFacts:
    """The same session with someone of the same gender, credential and papers."""
    licences = tuple(replace(one, id=UUID(int=78)) for one in facts.practitioner.licences)
    sign_offs = tuple(replace(one, id=UUID(int=79)) for one in facts.practitioner.competences)
    person = replace(
        facts.practitioner, practitioner_id=who, licences=licences, competences=sign_offs
    )
    return replace(facts, practitioner=person)


def naming(facts: PermissionFacts, *who: UUID) -> PermissionFacts:
    wanted = replace(PREFERRED, practitioner_ids=who)
    return replace(facts, client=replace(facts.client, preference=wanted))


@settings(max_examples=100, deadline=None)
@given(chapters.facts(), st.booleans())
def test_with_two_who_are_alike_the_same_is_permitted(known: PermissionFacts, named: bool) -> None:
    one = naming(known, g.PERSON) if named else known
    other = with_another(one, OTHER)
    if seen(one) == seen(other):
        first, second = g.evaluated(one), g.evaluated(other)
        assert replace(first, versions=second.versions) == second


@settings(max_examples=100, deadline=None)
@given(chapters.facts())
def test_what_holds_for_all_of_a_session_is_never_narrower_than_its_verdict(
    known: PermissionFacts,
) -> None:
    bound, whole = evaluate_session(known, g.settings()), g.evaluated(known)
    assert MODE_WIDTH[bound.mode] >= MODE_WIDTH[whole.mode]
    assert bound.refusals == whole.refusals
    assert set(bound.reasons) <= set(whole.reasons)


PREFERRED = ProviderPreference(scope=PreferenceScope.ALL_WORK, practitioner_ids=(OTHER,))
NARROWED = NarrowedScope(sites=(), techniques=(), practitioner_ids=(OTHER,))


@pytest.mark.parametrize(
    "client",
    [
        {
            "preference": ProviderPreference(
                scope=PreferenceScope.ALL_WORK, practitioner_ids=(OTHER,)
            )
        },
        {"consent": replace(g.CONSENT, practitioner_ids=(OTHER,))},
        {"consent": replace(g.CONSENT, narrowed=(NARROWED,))},
        {
            "exceptions": (
                PreferenceException(
                    exception_id=UUID(int=5), practitioner_id=OTHER, on=g.DAY, until=None
                ),
            )
        },
    ],
)
def test_whom_the_client_names_is_like_nobody_else(client: dict[str, object]) -> None:
    facts = replace(g.OPEN, client=replace(g.OPEN.client, **client))
    assert seen(with_another(facts, OTHER)) != seen(with_another(facts, UUID(int=80)))
    assert seen(with_another(facts, UUID(int=80))) == seen(with_another(facts, UUID(int=81)))


def test_who_is_supervised_is_like_nobody_else() -> None:
    supervision = SupervisionFacts(supervisor=g.THERAPIST, works_there_that_day=True, entitled=True)
    facts = replace(g.OPEN, supervision=supervision)
    assert seen(with_another(facts, OTHER)) != seen(facts)


@pytest.mark.parametrize(
    "person",
    [
        {"credential": Credential.MASSAGE_THERAPIST},
        {"gender": Gender.NONBINARY},
        {"works_here": False},
        {"licences": ()},
        {"competences": ()},
    ],
)
def test_gender_credential_and_papers_tell_people_apart(person: dict[str, object]) -> None:
    other = replace(g.OPEN, practitioner=replace(g.THERAPIST, **person))
    assert seen(other) != seen(g.OPEN)


def test_a_licence_that_ends_earlier_and_a_later_sign_off_tell_people_apart() -> None:
    (licence, *_), (sign_off, *_) = g.THERAPIST.licences, g.THERAPIST.competences
    sooner = replace(licence, expires_on=g.DAY)
    later = replace(sign_off, signed_off_on=g.DAY + timedelta(days=1))
    for person in (
        replace(g.THERAPIST, licences=(sooner,)),
        replace(g.THERAPIST, competences=(later,)),
    ):
        assert seen(replace(g.OPEN, practitioner=person)) != seen(g.OPEN)
