"""An invented firm: people at two sites, a refresher programme with those who are current, due and overdue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import islice

from trainer.cli.inventing.college import tasks_of
from trainer.cli.inventing.editions import edition_on, question_under
from trainer.cli.inventing.workshop import Workshop
from trainer.domain.tasks import TaskKind
from trainer.persistence.people.repositories import people_repositories
from trainer.services.people.here import Here
from trainer.services.people.records import Organisation, Place
from trainer.services.people.words import OrganisationKind, Role
from trainer.services.programmes.programmes import ProgrammeForm, ProgrammesDesk

NAME = "Wexcombe Electrical (invented)"
_SITES = ("Wexcombe", "Nether Barrow")
_WORK = ("Installer", "Inspector")
_PEOPLE = 18
_PASSED = ((5, 380), (3, 350), (6, 200))
"""How many passed how many days ago, under the edition of that day; the programme runs every twelve months."""
_NEWCOMERS, _NEW_DAYS = 2, 20
"""How many started with the firm how many days ago: they have not been assessed and have time yet."""


def invent_firm(shop: Workshop, now: datetime) -> None:
    """Makes the firm with a year of its programme."""
    shop.clock.reach(now - timedelta(days=420))
    firm, sites, work = _organisation(shop)
    manager = shop.member(firm, Role.TRAINING_MANAGER, sign_in_name="manager")
    people = [
        shop.member(
            firm,
            Role.LEARNER,
            sign_in_name="fitter" if number == 0 else None,
            site_id=sites[number % 2].id,
            trade_role_id=work[number % 3 // 2].id,
        )
        for number in range(_PEOPLE)
    ]
    desk = shop.programmes(ProgrammesDesk)
    programme = desk.make(
        manager,
        ProgrammeForm(
            title="Residual current and sources",
            cycle_months=12,
            warning_days=30,
            first_due_days=60,
            pass_percent=50,
            critical_errors_fail=False,
            items=3,
            level=2,
            kinds=(TaskKind.QUESTION,),
            objectives={
                work[0].id: ("LO02", "LO03", "LO12", "LO21"),
                work[1].id: ("LO28", "LO41", "LO47", "LO48"),
            },
            sites=(),
        ),
    )
    desk.start(manager, programme.id)
    # The fitter who can sign in never took it and has it to take now.
    others = iter(people[1:])
    for count, days in _PASSED:
        shop.clock.reach(now - timedelta(days=days))
        _refreshed(shop, list(islice(others, count)))
    shop.clock.reach(now - timedelta(days=_NEW_DAYS))
    for number in range(_NEWCOMERS):
        shop.member(firm, Role.LEARNER, site_id=sites[number % 2].id, trade_role_id=work[0].id)
    desk.assign(manager, programme.id)


def _organisation(shop: Workshop) -> tuple[Organisation, list[Place], list[Place]]:
    firm = Organisation(
        id=shop.new_id(),
        name=NAME,
        kind=OrganisationKind.FIRM,
        release_needs_second_person=False,
        staff_need_second_factor=False,
        created_at=shop.clock(),
    )
    sites = [Place(id=shop.new_id(), organisation_id=firm.id, name=name) for name in _SITES]
    work = [Place(id=shop.new_id(), organisation_id=firm.id, name=name) for name in _WORK]
    with shop.storage.scopes(people_repositories).writing() as stored:
        stored.organisations.add(firm)
        for site in sites:
            stored.organisations.add_site(site)
        for role in work:
            stored.organisations.add_trade_role(role)
    return firm, sites, work


def _refreshed(shop: Workshop, people: Sequence[Here]) -> None:
    """Each takes the refresher that is due, well enough in most cases, and gets the record that it earns."""
    edition = edition_on(shop.clock().date())
    refreshers = replace(shop.refreshers(), make=lambda request: question_under(edition, request))
    for person in people:
        for mine in refreshers.mine(person):
            sitting = refreshers.begin(person, mine.line.assignment.id)
            shop.sit(person, sitting.id, tasks_of(shop, sitting), shop.random.uniform(0.75, 1.0), 20)
            shop.hand_in(person, sitting.id)
            refreshers.settle_own(person)
