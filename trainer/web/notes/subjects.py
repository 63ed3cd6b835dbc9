"""The objectives by subject, as the list of notes shows them."""

from __future__ import annotations

from dataclasses import dataclass

from flask_babel import LazyString, lazy_gettext


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A subject with the ids of its objectives."""

    title: LazyString
    objective_ids: tuple[str, ...]


def _ids(*numbers: int) -> tuple[str, ...]:
    return tuple(f"LO{number:02d}" for number in numbers)


SUBJECTS = (
    Subject(title=lazy_gettext("Residual current protection"), objective_ids=_ids(*range(1, 8))),
    Subject(title=lazy_gettext("Charging points"), objective_ids=_ids(*range(8, 15))),
    Subject(title=lazy_gettext("Solar panels, storage and other sources"), objective_ids=_ids(*range(15, 26), 46)),
    Subject(title=lazy_gettext("Overcurrent, cables and loops"), objective_ids=_ids(*range(26, 34))),
    Subject(title=lazy_gettext("Makers, motors, leakage, surges and arcs"), objective_ids=_ids(*range(34, 39))),
    Subject(title=lazy_gettext("Network operator"), objective_ids=_ids(39, 40)),
    Subject(title=lazy_gettext("What stands there, isolation and tests"), objective_ids=_ids(*range(41, 46), 47, 48)),
)
