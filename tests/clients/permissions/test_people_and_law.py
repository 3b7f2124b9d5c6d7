"""Consent, preference, law, facility and competence: what people and rules say about touch.

Where a rule has no published source it is common practice or practice policy, as the
reason itself says.
"""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec
import pytest

from clients.consent.domain.terms import ConsentStatus
from clients.orders.domain.terms import OrderKind, Prescriber
from clients.permissions.domain.inputs import (
    ArrivalAnswers,
    FacilityFacts,
    JurisdictionLimitFacts,
    LicenceFacts,
    SupervisionFacts,
    TreatmentFacts,
)
from clients.preference.domain.state import PreferenceException, ProviderPreference
from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import (
    Activity,
    Allowance,
    Credential,
    Gender,
    Mode,
    Region,
    Side,
    SupervisionLevel,
)
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
OTHER = UUID(int=99)
PAYER = UUID(int=98)
TRAINER = replace(g.THERAPIST, credential=Credential.PERSONAL_TRAINER, licences=())
TRAINER_LAW = replace(g.ALLOWED, credential=Credential.PERSONAL_TRAINER)


def test_everything_may_be_done_by_hand_where_nothing_stands_against_it() -> None:
    permissions = g.evaluated(g.OPEN)
    assert permissions.mode is Mode.HANDS_ON
    touched = [
        v
        for v in permissions.stretch_permissions
        if v.stretch not in ("tilts", "curls", "breathing")
    ]
    assert {v.mode for v in touched} == {Mode.HANDS_ON}
    assert not any(v.reasons for v in touched)
    assert not permissions.provisional


@pytest.mark.parametrize(
    ("consent", "code"),
    [
        (replace(g.CONSENT, status=ConsentStatus.NONE), "consent.none"),
        (replace(g.CONSENT, status=ConsentStatus.DECLINED), "consent.declined"),
        (replace(g.CONSENT, status=ConsentStatus.WITHDRAWN), "consent.withdrawn"),
        (replace(g.CONSENT, until=date(2026, 3, 1)), "consent.expired"),
        (replace(g.CONSENT, until=None), "consent.no_end"),
        (replace(g.CONSENT, given_on=date(2026, 3, 3)), "consent.not_yet"),
        (replace(g.CONSENT, practitioner_ids=(OTHER,)), "consent.other_person"),
        (replace(g.CONSENT, gender=Gender.MAN), "consent.other_person"),
    ],
)
def test_without_a_consent_that_counts_that_day_nothing_is_hands_on(
    consent: object, code: str
) -> None:
    permissions = g.evaluated(g.facts(consent=consent))
    assert permissions.mode is Mode.SELF_DIRECTED
    assert permissions.planned is Mode.SELF_DIRECTED
    assert code in g.codes(permissions)
    assert not any(v.mode is Mode.HANDS_ON for v in permissions.stretch_permissions)


def test_consent_counts_on_its_first_and_its_last_day() -> None:
    for day in (g.CONSENT.given_on, g.CONSENT.until):
        assert g.evaluated(g.facts(day=day), g.FLEXION).mode is Mode.HANDS_ON


def test_a_stretch_needs_consent_for_every_region_it_touches_supporting_contacts_too() -> None:
    no_back = replace(
        g.CONSENT, sites=tuple(s for s in g.CONSENT.sites if s.region is not Region.UPPER_BACK)
    )
    chest = g.stretch_permission(g.facts(consent=no_back), g.CHEST)
    assert (chest.mode, g.codes(chest)) == (Mode.SELF_DIRECTED, {"consent.region"})
    assert "upper back" in chest.reasons[0].text
    assert g.stretch_permission(g.facts(consent=no_back), g.FLEXION).mode is Mode.HANDS_ON


def test_consent_for_one_side_covers_that_side_only() -> None:
    left = replace(
        g.CONSENT,
        sites=(g.site(Region.ARM, Side.LEFT), g.site(Region.UPPER_BACK)),
    )
    known = g.facts(consent=left)
    assert g.stretch_permission(known, g.FLEXION, side=Side.LEFT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.SELF_DIRECTED
    assert g.stretch_permission(known, g.CHEST).mode is Mode.SELF_DIRECTED, (
        "two-armed takes the worse side"
    )
    # A hand on the opposite shoulder is touch on the other side.
    assert "consent.region" in g.codes(g.stretch_permission(known, g.TRICEPS, side=Side.LEFT))


def test_consent_for_left_and_for_right_is_consent_for_both() -> None:
    sites = tuple(
        g.site(region, side)
        for region in (Region.ARM, Region.UPPER_BACK)
        for side in (Side.LEFT, Side.RIGHT)
    )
    assert g.stretch_permission(g.facts(consent=replace(g.CONSENT, sites=sites)), g.CHEST).mode is (
        Mode.HANDS_ON
    )


def test_a_session_says_in_one_reason_what_consent_and_sign_off_leave_open() -> None:
    sites = tuple(
        s for s in g.CONSENT.sites if s.region not in (Region.HEAD_AND_NECK, Region.ARM, Region.LEG)
    )
    narrow = replace(
        g.CONSENT, sites=(*sites, g.site(Region.ARM, Side.RIGHT)), techniques=(g.PASSIVE,)
    )
    novice = replace(g.THERAPIST, competences=())
    known = g.facts(consent=narrow, practitioner=novice, arrival=g.arrival(hands_on_today=False))
    permissions = g.evaluated(known)
    texts: dict[str, list[str]] = {}
    for reason in permissions.reasons:
        texts.setdefault(reason.code, []).append(reason.text)
    assert texts["consent.region"] == [
        "The touch consent does not cover: left arm, head and neck, leg."
    ]
    assert texts["consent.technique"] == [
        "The touch consent does not name: active isolated, contract-relax."
    ]
    assert texts["competence.technique"] == [
        "The practitioner is not signed off in: active isolated, contract-relax, passive."
    ]
    chest = {r.code: r.text for r in g.stretch_permission(known, g.CHEST, g.CR).reasons}
    assert chest["consent.region"] == "The touch consent does not cover the left arm."
    assert "contract-relax" in chest["consent.technique"]
    assert not any(
        "contract relax" in reason.text
        for v in permissions.stretch_permissions
        for reason in v.reasons
    )


def test_both_arms_at_once_touch_both_sides_wherever_a_contact_lies() -> None:
    both = replace(g.TRICEPS, two_armed=True)
    for side in (Side.LEFT, Side.RIGHT):
        sites = (g.site(Region.ARM), g.site(Region.SHOULDER, side))
        known = g.facts(consent=replace(g.CONSENT, sites=sites))
        assert "consent.region" in g.codes(g.stretch_permission(known, both))


def test_a_technique_outside_the_consent_is_not_done_and_active_isolated_is_offered() -> None:
    narrow = replace(g.CONSENT, techniques=(g.AI,))
    passive = g.stretch_permission(g.facts(consent=narrow), g.FLEXION, g.PASSIVE)
    assert passive.mode is Mode.NOT_TODAY
    assert g.codes(passive) == {"consent.technique", "technique.not_alone"}
    assert passive.offered_instead is g.AI
    assert g.stretch_permission(g.facts(consent=narrow), g.FLEXION).mode is Mode.HANDS_ON


def test_a_support_person_or_interpreter_must_be_there() -> None:
    consent = replace(g.CONSENT, support_person=True, interpreter=True)
    there = g.arrival(companion_present=True, interpreter_present=True)
    assert g.evaluated(g.facts(consent=consent, arrival=there), g.FLEXION).mode is Mode.HANDS_ON
    alone = g.evaluated(g.facts(consent=consent, arrival=replace(there, companion_present=False)))
    assert alone.planned is Mode.SELF_DIRECTED
    assert "consent.support_person" in g.codes(alone)
    unknown = g.evaluated(g.facts(consent=consent), g.FLEXION)
    assert (unknown.mode, unknown.planned) == (Mode.SELF_DIRECTED, Mode.HANDS_ON)
    assert unknown.provisional


def test_a_consent_that_ends_within_the_practices_days_is_a_warning() -> None:
    soon = replace(g.CONSENT, until=date(2026, 4, 1))
    assert [w.code for w in g.evaluated(g.facts(consent=soon)).warnings] == ["consent.ends_soon"]
    assert not g.evaluated(g.facts(consent=replace(soon, until=date(2026, 4, 2)))).warnings


def test_a_standing_consent_is_not_todays_yes() -> None:
    unasked = g.evaluated(g.facts(arrival=None), g.FLEXION)
    assert (unasked.mode, unasked.planned, unasked.provisional) == (
        Mode.SELF_DIRECTED,
        Mode.HANDS_ON,
        True,
    )
    assert "arrival.not_answered" in g.codes(unasked)
    no = g.evaluated(g.facts(arrival=g.arrival(hands_on_today=False)), g.FLEXION)
    assert (no.mode, no.planned, no.provisional) == (
        Mode.SELF_DIRECTED,
        Mode.SELF_DIRECTED,
        False,
    )
    half = g.evaluated(g.facts(arrival=ArrivalAnswers(hands_on_today=True)), g.FLEXION)
    assert (half.mode, half.planned) == (Mode.SELF_DIRECTED, Mode.HANDS_ON)
    assert any("pain, fever, swelling, new symptoms" in r.text for r in half.reasons)


def preference(scope: PreferenceScope, **who: object) -> ProviderPreference:
    return msgspec.convert({"scope": scope, **who}, ProviderPreference)


def test_against_a_preference_for_all_work_it_may_not_be_booked() -> None:
    known = g.facts(preference=preference(PreferenceScope.ALL_WORK, gender="man"))
    permissions = g.evaluated(known)
    assert permissions.mode is Mode.NOT_TODAY
    assert [r.code for r in permissions.refusals] == ["preference.all_work"]


def test_against_a_preference_for_hands_on_only_others_work_self_directed() -> None:
    known = g.facts(preference=preference(PreferenceScope.HANDS_ON_ONLY, practitioner_ids=(OTHER,)))
    permissions = g.evaluated(known)
    assert permissions.mode is Mode.SELF_DIRECTED
    assert not permissions.refusals
    assert "preference.hands_on" in g.codes(permissions)


def test_a_preference_met_narrows_nothing_and_an_unstated_gender_meets_none() -> None:
    woman = preference(PreferenceScope.ALL_WORK, gender="woman")
    assert g.evaluated(g.facts(preference=woman), g.FLEXION).mode is Mode.HANDS_ON
    unstated = replace(g.THERAPIST, gender=None)
    assert g.evaluated(g.facts(preference=woman, practitioner=unstated)).refusals


@pytest.mark.parametrize(
    ("exception", "holds"),
    [
        ({"session_id": UUID(int=5)}, True),
        ({"session_id": UUID(int=6)}, False),
        ({"on": g.DAY}, True),
        ({"on": date(2026, 3, 3)}, False),
        ({"until": g.DAY}, True),
        ({"until": date(2026, 3, 1)}, False),
        ({}, False),
    ],
)
def test_an_exception_counts_for_its_session_or_until_its_day(
    exception: dict[str, object], holds: bool
) -> None:
    made = replace(
        PreferenceException(practitioner_id=g.PERSON, exception_id=UUID(int=8)), **exception
    )  # type: ignore[arg-type]
    known = g.facts(
        preference=preference(PreferenceScope.ALL_WORK, gender="man"),
        exceptions=(made,),
        session_id=UUID(int=5),
    )
    permissions = g.evaluated(known)
    assert (not permissions.refusals) is holds
    assert permissions.exception_id == (UUID(int=8) if holds else None)
    elsewhere = replace(made, practitioner_id=OTHER)
    assert g.evaluated(
        replace(known, client=replace(known.client, exceptions=(elsewhere,)))
    ).refusals


def test_unknown_law_is_self_directed_for_every_credential() -> None:
    for credential in Credential:
        person = replace(
            g.THERAPIST,
            credential=credential,
            licences=(replace(g.THERAPIST.licences[0], credential=credential),),
        )
        permissions = g.evaluated(g.facts(practitioner=person, limits=()))
        assert permissions.mode is Mode.SELF_DIRECTED
        assert "law.unknown" in g.codes(permissions)


def test_a_trainer_whose_jurisdiction_does_not_allow_it_works_self_directed() -> None:
    # Common practice, no source: in US-CA a personal trainer may not stretch by hand.
    row = replace(
        TRAINER_LAW,
        jurisdiction="US-CA",
        allowance=Allowance.NOT_ALLOWED,
        source="common practice, no source",
    )
    california = FacilityFacts(facility_id=g.FACILITY, jurisdiction="US-CA")
    permissions = g.evaluated(g.facts(practitioner=TRAINER, limits=(row,), facility=california))
    assert permissions.mode is Mode.SELF_DIRECTED
    [reason] = [r for r in permissions.reasons if r.code == "law.not_allowed"]
    assert reason.source == "common practice, no source. Not verified by this practice."
    assert permissions.versions.limit_rows == (row.id,)


def test_a_limit_may_depend_on_whether_a_pathology_is_under_treatment() -> None:
    # 49 Pa. Code section 40.3: unlicensed exercise and massage only without a specific pathology.
    source = "49 Pa. Code section 40.3"
    well = replace(TRAINER_LAW, pathology=False, source=source)
    ill = replace(
        TRAINER_LAW,
        id=UUID(int=7),
        pathology=True,
        allowance=Allowance.NOT_ALLOWED,
        source=source,
    )
    table = (well, ill)
    treated = g.evaluated(g.facts(practitioner=TRAINER, limits=table), g.FLEXION)
    assert treated.mode is Mode.SELF_DIRECTED
    none = g.history(pathology_under_treatment=False)
    free = g.facts(practitioner=TRAINER, limits=table, reviewed=none)
    assert g.evaluated(free, g.FLEXION).mode is Mode.HANDS_ON
    reported = g.facts(free, reported=(g.history(),))
    assert g.evaluated(reported, g.FLEXION).mode is Mode.SELF_DIRECTED, "a report frees nothing"


def test_a_pathology_that_nobody_asked_about_counts_as_under_treatment() -> None:
    # 49 Pa. Code section 40.3: unlicensed exercise and massage only without a specific pathology.
    well = replace(TRAINER_LAW, pathology=False, source="49 Pa. Code section 40.3")
    for pathology, mode in ((None, Mode.SELF_DIRECTED), (False, Mode.HANDS_ON)):
        known = g.facts(
            practitioner=TRAINER,
            limits=(well,),
            reviewed=g.history(pathology_under_treatment=pathology),
        )
        assert g.evaluated(known, g.FLEXION).mode is mode
    unasked = g.facts(known, reported=(g.history(pathology_under_treatment=None),))
    assert g.evaluated(unasked, g.FLEXION).mode is Mode.SELF_DIRECTED, "a report frees nothing"


def test_a_limit_counts_between_its_effective_dates() -> None:
    barred = replace(g.ALLOWED, id=UUID(int=8), allowance=Allowance.NOT_ALLOWED)
    later = replace(barred, effective_from=date(2026, 3, 3))
    past = replace(barred, effective_to=date(2026, 3, 1))
    today = replace(barred, effective_from=g.DAY, effective_to=g.DAY)
    assert g.evaluated(g.facts(limits=(g.ALLOWED, later, past)), g.FLEXION).mode is Mode.HANDS_ON
    assert g.evaluated(g.facts(limits=(g.ALLOWED, today)), g.FLEXION).mode is Mode.SELF_DIRECTED


@pytest.mark.parametrize(
    "licences",
    [
        (),
        (replace(g.THERAPIST.licences[0], expires_on=date(2026, 3, 1)),),
        (replace(g.THERAPIST.licences[0], expires_on=None),),
        (replace(g.THERAPIST.licences[0], valid_from=date(2026, 3, 3)),),
        (replace(g.THERAPIST.licences[0], jurisdiction="US-CA"),),
        (replace(g.THERAPIST.licences[0], credential=Credential.MASSAGE_THERAPIST),),
    ],
)
def test_a_licence_that_is_not_valid_there_that_day_is_none(
    licences: tuple[LicenceFacts, ...],
) -> None:
    person = replace(g.THERAPIST, licences=licences)
    permissions = g.evaluated(g.facts(practitioner=person))
    assert permissions.mode is Mode.SELF_DIRECTED
    assert "law.licence" in g.codes(permissions)


def test_a_licence_counts_on_its_first_and_its_last_day() -> None:
    licence = replace(g.THERAPIST.licences[0], valid_from=g.DAY, expires_on=g.DAY)
    person = replace(g.THERAPIST, licences=(licence,))
    assert g.evaluated(g.facts(practitioner=person), g.FLEXION).mode is Mode.HANDS_ON


def test_under_supervision_asks_for_a_named_supervisor_licensed_there_who_works_that_day() -> None:
    row = replace(TRAINER_LAW, allowance=Allowance.UNDER_SUPERVISION)
    known = g.facts(practitioner=TRAINER, limits=(row,))
    supervisor = replace(g.THERAPIST, practitioner_id=OTHER)
    there = SupervisionFacts(supervisor=supervisor, works_there_that_day=True, entitled=True)

    def mode(supervision: SupervisionFacts | None) -> Mode:
        return g.evaluated(replace(known, supervision=supervision), g.FLEXION).mode

    assert mode(there) is Mode.HANDS_ON
    assert mode(None) is Mode.SELF_DIRECTED
    assert mode(replace(there, works_there_that_day=False)) is Mode.SELF_DIRECTED
    assert mode(replace(there, supervisor=replace(supervisor, licences=()))) is Mode.SELF_DIRECTED
    assert mode(replace(there, supervisor=TRAINER)) is Mode.SELF_DIRECTED


@pytest.mark.parametrize(
    ("level", "works_there", "mode"),
    [
        (SupervisionLevel.GENERAL, False, Mode.HANDS_ON),
        (SupervisionLevel.GENERAL, True, Mode.HANDS_ON),
        (SupervisionLevel.DIRECT, True, Mode.HANDS_ON),
        (SupervisionLevel.DIRECT, False, Mode.SELF_DIRECTED),
    ],
)
def test_how_near_the_supervisor_must_be_is_a_row_of_law(
    level: SupervisionLevel, works_there: bool, mode: Mode
) -> None:
    # ruling 24: general, reachable; direct, working at that facility that day
    row = replace(TRAINER_LAW, allowance=Allowance.UNDER_SUPERVISION, supervision=level)
    named = SupervisionFacts(
        supervisor=replace(g.THERAPIST, practitioner_id=OTHER),
        works_there_that_day=works_there,
        entitled=True,
    )
    known = g.facts(practitioner=TRAINER, limits=(row,), supervision=named)
    assert g.evaluated(known, g.FLEXION).mode is mode


@pytest.mark.parametrize("changes", [{"entitled": False}, {"works_here": False}])
def test_who_may_not_supervise_or_has_left_supervises_nobody(changes: dict[str, bool]) -> None:
    # ruling 55: by the practice's table of credentials
    row = replace(
        TRAINER_LAW,
        allowance=Allowance.UNDER_SUPERVISION,
        supervision=SupervisionLevel.GENERAL,
    )
    named = SupervisionFacts(
        supervisor=replace(
            g.THERAPIST, practitioner_id=OTHER, works_here=changes.get("works_here", True)
        ),
        works_there_that_day=True,
        entitled=changes.get("entitled", True),
    )
    known = g.facts(practitioner=TRAINER, limits=(row,), supervision=named)
    permissions = g.evaluated(known, g.FLEXION)
    assert permissions.mode is Mode.SELF_DIRECTED
    assert "law.supervision" in g.codes(permissions)


def test_the_strictest_row_wins_and_a_payers_row_counts_for_its_clients_only() -> None:
    # ruling 24: jurisdiction, credential and payer
    law = replace(
        TRAINER_LAW,
        allowance=Allowance.UNDER_SUPERVISION,
        supervision=SupervisionLevel.GENERAL,
    )
    payers = replace(law, id=UUID(int=77), supervision=SupervisionLevel.DIRECT, payer_id=PAYER)
    named = SupervisionFacts(
        supervisor=replace(g.THERAPIST, practitioner_id=OTHER),
        works_there_that_day=False,
        entitled=True,
    )
    known = g.facts(practitioner=TRAINER, limits=(law, payers), supervision=named)
    assert g.evaluated(known, g.FLEXION).mode is Mode.HANDS_ON
    paid = g.evaluated(replace(known, payers=(PAYER,)), g.FLEXION)
    assert paid.mode is Mode.SELF_DIRECTED
    assert UUID(int=77) in paid.versions.limit_rows


def test_a_payers_row_never_stands_for_the_law() -> None:
    row = replace(g.ALLOWED, payer_id=PAYER)
    permissions = g.evaluated(g.facts(limits=(row,), payers=(PAYER,)), g.FLEXION)
    assert permissions.mode is Mode.SELF_DIRECTED
    assert "law.unknown" in g.codes(permissions)


def test_reasons_of_law_say_when_they_were_verified() -> None:
    # issue section A, with ruling 45: a row that nobody verified says so
    def sources(verified_on: date | None) -> list[str]:
        row = replace(g.ALLOWED, allowance=Allowance.NOT_ALLOWED, verified_on=verified_on)
        found = g.evaluated(g.facts(limits=(row,)), g.FLEXION)
        return [one.source for one in found.reasons if one.code == "law.not_allowed"]

    assert sources(date(2026, 2, 1)) == ["a test's own law. Verified on 2026-02-01."]
    assert sources(None) == ["a test's own law. Not verified by this practice."]


def test_what_was_used_is_named_at_its_revision() -> None:
    # ruling 55: licence, sign-off, supervision, limits, consent, orders and settings
    licence = replace(g.THERAPIST.licences[0], id=UUID(int=31), revision=3)
    expired = replace(licence, id=UUID(int=32), expires_on=date(2026, 3, 1))
    sign_off = replace(g.THERAPIST.competences[0], id=UUID(int=33), revision=1)
    person = replace(g.THERAPIST, licences=(licence, expired), competences=(sign_off,))
    supervisor = replace(
        g.THERAPIST, practitioner_id=OTHER, licences=(replace(licence, id=UUID(int=34)),)
    )
    named = SupervisionFacts(
        supervisor=supervisor,
        works_there_that_day=True,
        entitled=True,
        id=UUID(int=35),
        revision=2,
    )
    order = g.clearance_order(sites=(), given_on=date(2026, 2, 1))
    ended = replace(order, id=UUID(int=99), lifted_on=g.DAY)
    known = g.facts(practitioner=person, supervision=named, orders=(order, ended))
    versions = g.evaluated(known, g.FLEXION).versions
    assert {(row.kind.value, row.id.int, row.revision) for row in versions.rows} == {
        ("licence", 31, 3),
        ("sign_off", 33, 1),
        ("supervision", 35, 2),
        ("supervisor_licence", 34, 3),
        ("limit", 4, 0),
    }
    assert versions.orders == (order.id,)


def test_who_may_not_even_instruct_exercise_has_nothing_left_where_touch_is_not_possible() -> None:
    row = JurisdictionLimitFacts(
        id=UUID(int=9),
        jurisdiction="US-PA",
        credential=Credential.PHYSICAL_THERAPIST,
        activity=Activity.EXERCISE_INSTRUCTION,
        allowance=Allowance.NOT_ALLOWED,
        source="a test's own law",
    )
    known = g.facts(limits=(g.ALLOWED, row))
    assert g.evaluated(known, g.FLEXION).mode is Mode.HANDS_ON
    declined = replace(g.CONSENT, status=ConsentStatus.DECLINED)
    without = g.evaluated(g.facts(known, consent=declined))
    assert without.mode is Mode.NOT_TODAY
    assert "law.instruction" in g.codes(without)


@pytest.mark.parametrize(
    ("first", "visits", "warned"),
    [
        (date(2026, 1, 17), 3, False),  # the 45th calendar day, the first visit's own counted
        (date(2026, 1, 16), 3, True),
        (date(2026, 2, 20), 11, False),
        (date(2026, 2, 20), 12, True),
    ],
)
def test_treatment_without_a_physician_warns_after_45_days_or_12_visits(
    first: date, visits: int, warned: bool
) -> None:
    # US-CA Business and Professions Code section 2620.1: 45 calendar days or 12 visits,
    # whichever occurs first, then a dated signature on the plan of care.
    row = replace(g.ALLOWED, direct_access_days=45, direct_access_visits=12)
    known = g.facts(
        limits=(row,), treatment=TreatmentFacts(first_visit_on=first, visits_before=visits)
    )
    permissions = g.evaluated(known, g.FLEXION)
    assert permissions.mode is Mode.HANDS_ON, "it warns, it does not forbid"
    assert bool([w for w in permissions.warnings if w.code == "law.without_physician"]) is warned
    signature = g.clearance_order(
        sites=(),
        given_on=date(2026, 2, 25),
        kind=OrderKind.PLAN_SIGNATURE,
        prescriber=Prescriber.PHYSICIAN,
    )
    assert not g.evaluated(g.facts(known, orders=(signature,))).warnings


def test_a_facility_only_narrows() -> None:
    policy = g.OPEN.facility
    none = g.facts(facility=replace(policy, hands_on=False))
    assert g.evaluated(none).mode is Mode.SELF_DIRECTED
    no_passive = g.facts(facility=replace(policy, techniques_barred=(g.PASSIVE,)))
    assert g.stretch_permission(no_passive, g.FLEXION, g.PASSIVE).mode is Mode.NOT_TODAY
    assert g.stretch_permission(no_passive, g.FLEXION).mode is Mode.HANDS_ON
    no_neck = g.facts(facility=replace(policy, regions_barred=(Region.HEAD_AND_NECK,)))
    assert g.stretch_permission(no_neck, g.CHIN_TO_CHEST).mode is Mode.SELF_DIRECTED
    supervised = g.facts(facility=replace(policy, techniques_supervised=(g.PASSIVE,)))
    assert "facility.supervision" in g.codes(g.stretch_permission(supervised, g.FLEXION, g.PASSIVE))


def test_each_technique_needs_its_own_sign_off_unless_the_practice_relaxed_it() -> None:
    novice = replace(g.THERAPIST, competences=g.THERAPIST.competences[:1])
    known = g.facts(practitioner=novice)
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.HANDS_ON
    assert "competence.technique" in g.codes(g.stretch_permission(known, g.FLEXION, g.CR))
    unsigned = g.facts(practitioner=replace(g.THERAPIST, competences=()))
    assert g.stretch_permission(unsigned, g.FLEXION).mode is Mode.SELF_DIRECTED
    relaxed = replace(g.settings(), competence_needed=(g.CR, g.PASSIVE))
    assert g.evaluate(unsigned, (g.FLEXION,), relaxed).mode is Mode.HANDS_ON
    future = replace(novice.competences[0], signed_off_on=date(2026, 3, 3))
    late = g.facts(practitioner=replace(novice, competences=(future,)))
    assert g.stretch_permission(late, g.FLEXION).mode is Mode.SELF_DIRECTED


def test_someone_who_has_left_lays_no_hand_on_a_client() -> None:
    left = g.evaluated(g.facts(practitioner=replace(g.THERAPIST, works_here=False)), g.FLEXION)
    assert left.mode is Mode.SELF_DIRECTED
    assert "practitioner.left" in g.codes(left)
