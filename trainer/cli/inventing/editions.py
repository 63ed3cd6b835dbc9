"""Which edition a firm would have been assessed under on a day of the past."""

from __future__ import annotations

from datetime import date

from trainer.domain.generator.request import TaskRequest
from trainer.domain.questions.making import make_question
from trainer.domain.tasks import Task
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.scenarios import scenarios

# Dates of publication: A4 as the publisher announced it (the only edition in force since 15 October 2026),
# the earlier ones from memory.
_PUBLISHED = ((date(2026, 4, 15), Edition.A4_2026), (date(2024, 7, 31), Edition.A3_2024))


def edition_on(day: date) -> Edition:
    """The newest edition that was published by a day, never one after the program's own."""
    order = list(Edition)
    known = next((edition for since, edition in _PUBLISHED if day >= since), order[0])
    return min(known, DEFAULT_EDITION, key=order.index)


def question_under(edition: Edition, request: TaskRequest) -> Task:
    """A short question as it was asked under an edition; the family is named in every request of a refresher."""
    return make_question(request.seed, scenarios(), edition, family=request.family)
