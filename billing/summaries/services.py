"""Exports: each is a disclosure, kept as it was sent."""

from __future__ import annotations

from datetime import date
from functools import partial
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationState
from billing.authorizations.selectors.authorizations import authorization_get
from billing.summaries.domain.corrections import Now
from billing.summaries.domain.decisions import (
    ExportSummary,
    check_choices,
    check_visits,
    make_summary,
    send_summary,
    visits_of,
)
from billing.summaries.domain.document import SummaryHeading
from billing.summaries.domain.rows import rows_of_visits
from billing.summaries.domain.state import KEPT_SUMMARIES, VISIT_CHANGES
from billing.summaries.selectors.export import (
    SummaryFacts,
    export_warnings,
    row_facts,
    summary_facts,
)
from practice.core.decisions import Context, Decided, States
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid
from practice.http.roles import DIAGNOSES
from practice.work.unit_of_work import Outcome, UnitOfWork

SLICES = (AUTHORIZATION_BALANCE, KEPT_SUMMARIES, VISIT_CHANGES)


def visit_summary_disclose(
    uow: UnitOfWork, *, authorization_id: UUID, command: ExportSummary
) -> Outcome:
    """Make an authorization's visit summary, keep it as it is sent and log the disclosure.

    Rejected 409 where the period holds no visit, unless ``no_visits`` asks to state that, and
    where units of its visits wait for a choice, unless ``overrule`` says why it is sent;
    403 for diagnoses asked for by a role that may not read them.
    """
    if command.diagnoses and uow.actor.role not in DIAGNOSES:
        raise Rejected(
            "diagnoses_not_yours", "Your role does not read diagnoses; leave them out.", status=403
        )
    client_id = authorization_get(uow.actor, authorization_id).client_id
    uow.lock(client_id)
    facts = summary_facts(authorization_id)
    by = row_facts(facts.authorization)

    def decide(states: States, ctx: Context) -> Decided:
        balance = states[AUTHORIZATION_BALANCE]
        authorization = balance.authorization(authorization_id)
        first, last = _period(authorization, command)
        visits = visits_of(balance, authorization_id, first, last)
        check_visits(
            visits,
            first,
            last,
            wanted=command.no_visits,
            unsettled=partial(export_warnings, authorization_id, first, last),
        )
        overruled = check_choices(authorization.terms.number, visits, command.overrule)
        earlier = {
            key: one
            for key, one in states[KEPT_SUMMARIES].items()
            if one.event.authorization_id == authorization_id
        }
        all_visits = visits_of(balance, authorization_id, date.min, date.max)
        now = Now(rows_of_visits(all_visits, by), states[VISIT_CHANGES], facts.zone)
        heading = _heading(facts, authorization, (first, last), command, ctx)
        document = make_summary(heading, visits, facts.amounts, earlier, now)
        payer_id = authorization.payer_id
        return send_summary(document, authorization_id, payer_id, command, overruled)

    return uow.execute(client_id, SLICES, decide)


def _period(authorization: AuthorizationState, command: ExportSummary) -> tuple[date, date]:
    first = command.starts_on or authorization.terms.starts_on
    last = command.ends_on or max(authorization.terms.ends_on, first)
    if last < first:
        raise invalid("ends_on", "The last day cannot come before the first.")
    return first, last


def _heading(
    facts: SummaryFacts,
    authorization: AuthorizationState,
    period: tuple[date, date],
    command: ExportSummary,
    ctx: Context,
) -> SummaryHeading:
    terms = authorization.terms
    return SummaryHeading(
        summary_id=ctx.new_id(),
        exported_on=local_day(ctx.now, facts.zone),
        practice=facts.practice,
        client=facts.client,
        birth_date=facts.birth_date,
        payer=facts.payer,
        authorization_number=terms.number,
        member_id=terms.member_id,
        authorized_from=terms.starts_on,
        authorized_until=terms.ends_on,
        ended_on=authorization.ended_on,
        diagnoses=terms.diagnoses if command.diagnoses else (),
        period_start=period[0],
        period_end=period[1],
    )
