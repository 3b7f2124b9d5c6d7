"""The running periods of clients, and which of them a payer asks a note for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from billing.authorizations.models import Authorization
from billing.payers.domain.rules import PayerRulesById, ProgressNoteRule
from billing.payers.selectors import payers_asking_notes
from billing.progress_notes.domain.counting import DisciplineNotes
from billing.progress_notes.domain.due import (
    MOST_URGENT_FIRST,
    HeldAuthorization,
    ProgressNoteDue,
    first_due,
)
from billing.progress_notes.domain.projections import notes_of_row
from billing.progress_notes.domain.terms import WRITERS, PeriodStatus
from billing.progress_notes.models import ProgressNote, TreatmentPeriod
from billing.self_pay.selectors import self_paying_on
from clients.identity.domain.evaluating import EvaluationSettings
from clients.identity.selectors import of_visible_clients
from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.core.terms import Credential
from practice.policy.selectors import settings_group

Held = Mapping[UUID, Sequence[HeldAuthorization]]


def progress_notes_of(client_id: UUID | None) -> QuerySet[ProgressNote]:
    """The notes on record of a client, those entered in error too."""
    return ProgressNote.objects.filter(client_id=client_id)  # type: ignore[misc]  # None: none


def progress_note_row(note_id: UUID) -> ProgressNote:
    """A note as it stands, whoever asks: after a command that was allowed."""
    return ProgressNote.objects.get(pk=note_id)


def progress_note_get(actor: Actor, note_id: UUID) -> ProgressNote:
    """One of a client whom the caller sees. Raises Rejected 404."""
    rows = of_visible_clients(actor, ProgressNote.objects.filter(pk=note_id))
    return existing(rows.first(), "progress note")


def note_writers() -> list[Credential]:
    """Of whom the practice lets evaluate those who may write a progress note."""
    evaluating = settings_group("permissions", EvaluationSettings)[0].evaluating_credentials
    return [one for one in evaluating if one in WRITERS]


def held_by(client_ids: Collection[UUID], since: date = date.min) -> Held:
    """The authorizations of some clients that were not voided and end on a day or later; one
    query."""
    rows = Authorization.objects.filter(
        client_id__in=client_ids, voided_at=None, last_day__gte=since
    )
    found: defaultdict[UUID, list[HeldAuthorization]] = defaultdict(list)
    terms = rows.values_list("client_id", "payer_id", "starts_on", "last_day")
    for client_id, payer_id, first, last in terms:
        found[client_id].append(HeldAuthorization(payer_id, first, last))
    return found


def notes_of(row: TreatmentPeriod) -> DisciplineNotes:
    """The days of a row and what is covered of them."""
    return notes_of_row(row.days, row.covered)


def period_due(
    row: TreatmentPeriod, day: date, held: Held, payer_id: UUID | None = None
) -> ProgressNoteDue | None:
    """The note that a payer, or the one named, asks for first of a running period; None where
    none does."""
    period = notes_of(row).running_period()
    return first_due(day, period, held.get(row.client_id, ()), asking_on(day, payer_id))


def asking_on(day: date, payer_id: UUID | None = None) -> PayerRulesById:
    """The payers that ask for notes on a day, or the one named if it does."""
    asking = payers_asking_notes(day)
    return asking if payer_id is None else {key: asking[key] for key in asking if key == payer_id}


def running_periods(actor: Actor) -> QuerySet[TreatmentPeriod]:
    """Those of clients whom the caller sees that have a treatment day which no note covers; of
    clients who pay for themself on the last of them nobody else asks a note."""
    rows = TreatmentPeriod.objects.filter(begins_on__isnull=False)
    paying = rows.annotate(self_paying=self_paying_on("last_day"))
    return of_visible_clients(actor, paying.filter(self_paying=False))


def asked_for(
    rows: QuerySet[TreatmentPeriod],
    day: date,
    statuses: Collection[PeriodStatus],
    payer_id: UUID | None = None,
) -> QuerySet[TreatmentPeriod]:
    """The running periods whose note stands so on a day by the rule of any payer, or of one."""
    wanted = Q(pk__in=[])
    for rule, payers in _by_rule(asking_on(day, payer_id)).items():
        held = Authorization.objects.filter(
            client_id=OuterRef("client_id"),
            payer_id__in=payers,
            voided_at=None,
            starts_on__lte=day,
            last_day__gte=OuterRef("begins_on"),
        )
        for status in statuses:
            wanted |= _stands(rule, day, status) & Q(Exists(held))
    return rows.filter(wanted)


def standing_so(
    rows: QuerySet[TreatmentPeriod],
    day: date,
    status: PeriodStatus,
    payer_id: UUID | None = None,
) -> QuerySet[TreatmentPeriod]:
    """The running periods whose most urgent note stands so."""
    urgent = MOST_URGENT_FIRST[: MOST_URGENT_FIRST.index(status)]
    more = asked_for(rows, day, urgent, payer_id).values("pk")
    return asked_for(rows, day, [status], payer_id).exclude(pk__in=more)


def _by_rule(asking: PayerRulesById) -> dict[ProgressNoteRule, list[UUID]]:
    found: defaultdict[ProgressNoteRule, list[UUID]] = defaultdict(list)
    for payer_id, rules in asking.items():
        if rules.progress_note_rule is not None:
            found[rules.progress_note_rule].append(payer_id)
    return found


def _stands(rule: ProgressNoteRule, day: date, status: PeriodStatus) -> Q:
    """``standing_on`` for a query, of a period without days that lie ahead."""
    last = rule.treatment_days
    overdue = Q(day_count__gt=last) | Q(day_count=last, last_day__lt=day)
    due = Q(day_count=last, last_day=day)
    coming = Q(day_count__gte=last - rule.warn_treatment_days)
    if rule.calendar_days is not None:
        first = day - timedelta(days=rule.calendar_days - 1)
        overdue |= Q(begins_on__lt=first)
        due |= Q(begins_on=first)
        coming |= Q(begins_on__lte=first + timedelta(days=rule.warn_calendar_days))
    if status is PeriodStatus.OVERDUE:
        return overdue
    if status is PeriodStatus.DUE:
        return due & ~overdue
    if status is PeriodStatus.COMING:
        return coming & ~overdue & ~due
    return ~(coming | overdue | due)
