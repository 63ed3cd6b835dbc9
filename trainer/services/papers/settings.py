"""What a lecturer sets of a paper beside its blueprint, checked with every problem at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from trainer.domain.errors import Problem
from trainer.services.papers.errors import PaperError
from trainer.services.papers.records import Paper
from trainer.services.papers.words import PaperMode, ReleasePolicy
from trainer.services.people.secrets import as_code

LONGEST_TITLE, LONGEST_CODE = 200, 20
LONGEST_TIME_MIN, MOST_ATTEMPTS = 24 * 60, 20
_PERCENT = 100
_SECONDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSettings:
    """The settings of a paper; times in UTC, None where there is none."""

    title: str
    mode: PaperMode = PaperMode.GRADED
    opens_at: datetime | None = None
    closes_at: datetime | None = None
    time_limit_min: int | None = None
    attempts_allowed: int = 1
    access_code: str | None = None
    pass_percent: int | None = None
    critical_errors_fail: bool = False
    release_policy: ReleasePolicy = ReleasePolicy.BY_HAND
    release_at: datetime | None = None


def settings_of(paper: Paper) -> PaperSettings:
    """The settings of a paper as they stand."""
    return PaperSettings(
        title=paper.title,
        mode=paper.mode,
        opens_at=paper.opens_at,
        closes_at=paper.closes_at,
        time_limit_min=None if paper.time_limit_s is None else paper.time_limit_s // _SECONDS,
        attempts_allowed=paper.attempts_allowed,
        access_code=paper.access_code,
        pass_percent=paper.pass_percent,
        critical_errors_fail=paper.critical_errors_fail,
        release_policy=paper.release_policy,
        release_at=paper.release_at,
    )


def with_settings(paper: Paper, settings: PaperSettings) -> Paper:
    """The paper with these settings. *Raises* PaperError with every problem."""
    title = " ".join(settings.title.split())
    code = as_code(settings.access_code or "") or None
    cleaned = replace(settings, title=title, access_code=code)
    problems = tuple(_problems(cleaned))
    if problems:
        raise PaperError(*problems)
    return replace(
        paper,
        title=title,
        mode=settings.mode,
        opens_at=settings.opens_at,
        closes_at=settings.closes_at,
        time_limit_s=None if settings.time_limit_min is None else settings.time_limit_min * _SECONDS,
        attempts_allowed=settings.attempts_allowed,
        access_code=code,
        pass_percent=settings.pass_percent,
        critical_errors_fail=settings.critical_errors_fail,
        release_policy=settings.release_policy,
        release_at=settings.release_at if settings.release_policy is ReleasePolicy.ON_DATE else None,
    )


def _problems(settings: PaperSettings) -> Iterator[Problem]:
    if not settings.title:
        yield Problem(path="title", problem="give the paper a title")
    if len(settings.title) > LONGEST_TITLE:
        yield Problem(path="title", problem=f"at most {LONGEST_TITLE} characters", value=len(settings.title))
    yield from _range("time_limit_min", settings.time_limit_min, 1, LONGEST_TIME_MIN)
    yield from _range("attempts_allowed", settings.attempts_allowed, 1, MOST_ATTEMPTS)
    yield from _range("pass_percent", settings.pass_percent, 0, _PERCENT)
    code = settings.access_code
    if code is not None and not (code.isascii() and code.isalnum() and len(code) <= LONGEST_CODE):
        problem = f"letters and digits only, at most {LONGEST_CODE}, so that it can be read out"
        yield Problem(path="access_code", problem=problem)
    if settings.opens_at and settings.closes_at and settings.opens_at >= settings.closes_at:
        yield Problem(path="closes_at", problem="must be after the opening")
    if settings.release_policy is ReleasePolicy.ON_DATE:
        if settings.release_at is None:
            yield Problem(path="release_at", problem="give the date on which marks are released")
        elif settings.closes_at and settings.release_at < settings.closes_at:
            yield Problem(path="release_at", problem="must not be before the closing")


def _range(path: str, value: int | None, least: int, most: int) -> Iterator[Problem]:
    if value is not None and not least <= value <= most:
        yield Problem(path=path, value=value, problem=f"must be from {least} to {most}")
