"""A paper asked for and sent in one request, as the front desk does it."""

from __future__ import annotations

from datetime import date

import pytest

from clients.papers.domain import commands
from clients.papers.domain.terms import PaperChannel
from practice.core.reasons import Rejected
from tests.clients.papers.test_papers import TODAY, ask

BY_FAX = commands.SendPaper(channel=PaperChannel.FAX, words="to the ward")


def test_the_sending_is_a_step_of_the_paper_that_is_asked_for() -> None:
    asked, sent = ask(sent=BY_FAX)
    assert sent.paper_id == asked.paper_id
    assert (sent.sent_on, sent.channel, sent.words) == (TODAY, PaperChannel.FAX, "to the ward")


def test_it_is_sent_on_a_day_from_the_asking_to_today() -> None:
    asked_on = date(2026, 2, 20)
    for day in (asked_on, TODAY):
        _, sent = ask(asked_on=asked_on, sent=commands.SendPaper(channel=PaperChannel.FAX, on=day))
        assert sent.sent_on == day
    for wrong in (date(2026, 2, 19), date(2026, 3, 3)):
        with pytest.raises(Rejected) as refused:
            ask(asked_on=asked_on, sent=commands.SendPaper(channel=PaperChannel.FAX, on=wrong))
        assert (refused.value.status, list(refused.value.fields)) == (400, ["sent"])


def test_one_that_has_not_gone_out_has_no_such_step() -> None:
    assert len(ask()) == 1
