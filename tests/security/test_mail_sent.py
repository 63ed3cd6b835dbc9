"""No button of the pages sends mail to somebody without end: whoever enters people chooses the addresses.

Source: OWASP ASVS 5.0.0, 2.4.1.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from tests.web.conftest import NOON, settings
from tests.web.people.conftest import Box, Browser, Clock, House, app, box, browser_of, clock, college, member
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.records import Group, GroupPlace
from trainer.services.people.words import GroupPart, MemberState, Role

__all__ = ["app", "box", "browser_of", "clock", "college", "settings"]

Browsers = Callable[..., Browser]


def invited(storage: SqlStorage, name: str) -> str:
    """Somebody with an address who has not come in yet, in a group."""
    with storage.scopes(people_repositories).writing() as stored:
        state = MemberState.INVITED
        stored.members.add(member(name, "college", Role.LEARNER, email=f"{name}@example.org", state=state))
        stored.groups.add(Group(id=f"g-{name}", organisation_id="college", name=name, created_at=NOON))
        place = GroupPlace(
            group_id=f"g-{name}", member_id=name, organisation_id="college", part=GroupPart.LEARNS, joined_at=NOON
        )
        stored.groups.put([place])
    return name


def test_one_person_is_invited_six_times_an_hour_at_most(
    college: House, storage: SqlStorage, browser_of: Browsers, box: Box, clock: Clock
) -> None:
    someone, other = invited(storage, "someone"), invited(storage, "other")
    administrator = browser_of("college-administrator")
    path = "/organisation/people/{}/invite"
    sent = [administrator.post(path.format(someone), page="/join").status_code for _ in range(8)]
    assert (sent, len(box.sent)) == ([303] * 6 + [429] * 2, 6)
    assert browser_of("college-training_manager").post(path.format(someone), page="/join").status_code == 429
    assert administrator.post(path.format(other), page="/join").status_code == 303
    clock.pass_by(timedelta(hours=1, minutes=1))
    assert administrator.post(path.format(someone), page="/join").status_code == 303


def test_one_group_is_invited_six_times_an_hour_at_most(
    college: House, storage: SqlStorage, browser_of: Browsers, box: Box
) -> None:
    someone = invited(storage, "someone")
    administrator = browser_of("college-administrator")
    sent = [administrator.post(f"/organisation/groups/g-{someone}/invite", page="/join") for _ in range(8)]
    assert [each.status_code for each in sent] == [200] * 6 + [429] * 2
    for each in sent:
        each.close()
    assert len(box.sent) == 6
