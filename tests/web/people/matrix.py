"""Who may open which page: one line for each route that asks anything, written by hand.

The test compares it with the map of addresses: a route that is missing here fails, and so does a
line without a route. Add a line with each page of yours; ids in addresses come from ``world.py``.
"""

from __future__ import annotations

VISITOR, LEARNER, LECTURER, MANAGER, ADMINISTRATOR, OPERATOR = (
    "visitor",
    "learner",
    "lecturer",
    "training_manager",
    "administrator",
    "operator",
)
EVERYBODY = (VISITOR, LEARNER, LECTURER, MANAGER, ADMINISTRATOR, OPERATOR)

_ALL = frozenset(EVERYBODY)
_ACCOUNTS = _ALL - {VISITOR}
_MEMBERS = frozenset({LEARNER, LECTURER, MANAGER, ADMINISTRATOR})
_STAFF = frozenset({LECTURER, MANAGER, ADMINISTRATOR})
_PEOPLE = frozenset({MANAGER, ADMINISTRATOR})
_ADMINISTRATORS = frozenset({ADMINISTRATOR})
_LECTURERS = frozenset({LECTURER, ADMINISTRATOR})
_OPERATORS = frozenset({OPERATOR})

MATRIX: dict[str, frozenset[str]] = {
    "people.sign_in": _ALL,
    "people.new_account": _ALL,
    "people.join": _ALL,
    "people.forgotten": _ALL,
    "people.reset": _ALL,
    "people.invitation": _ALL,
    "people.code": _ACCOUNTS,
    "people.sign_out": _ACCOUNTS,
    "people.account": _ACCOUNTS,
    "people.password": _ACCOUNTS,
    "people.second_factor": _ACCOUNTS,
    "people.remove_second_factor": _ACCOUNTS,
    "people.new_paper_codes": _ACCOUNTS,
    "people.end_session": _ACCOUNTS,
    "people.end_other_sessions": _ACCOUNTS,
    "people.work_in": _ACCOUNTS,
    "people.keep_practice": _ACCOUNTS,
    "organisation.people": _PEOPLE,
    "organisation.new_member": _PEOPLE,
    "organisation.member": _PEOPLE,
    "organisation.invite": _PEOPLE,
    "organisation.reset_by_hand": _PEOPLE,
    "organisation.end_member": _PEOPLE,
    "organisation.take_back": _PEOPLE,
    "organisation.groups": _STAFF,
    "organisation.group": _STAFF,
    "organisation.rename_group": _STAFF,
    "organisation.archive_group": _STAFF,
    "organisation.new_code": _STAFF,
    "organisation.end_code": _STAFF,
    "organisation.show_code": _STAFF,
    "organisation.invite_group": _STAFF,
    "organisation.put_member": _STAFF,
    "organisation.take_out": _STAFF,
    "organisation.roster": _STAFF,
    "organisation.roster_preview": _STAFF,
    "organisation.take_roster": _STAFF,
    "organisation.drop_roster": _STAFF,
    "organisation.settings": _ADMINISTRATORS,
    "organisation.add_place": _ADMINISTRATORS,
    "organisation.log": _ADMINISTRATORS,
    "operator.organisations": _OPERATORS,
    "operator.suspend": _OPERATORS,
    "papers.index": _LECTURERS,
    "papers.new": _LECTURERS,
    "papers.show": _LECTURERS,
    "papers.settings": _LECTURERS,
    "papers.move": _LECTURERS,
    "papers.new_code": _LECTURERS,
    "papers.build": _LECTURERS,
    "papers.preview": _LECTURERS,
    "papers.mark_seed": _LECTURERS,
    "papers.unmark_seeds": _LECTURERS,
    "papers.arrangements": _LECTURERS,
    "papers.end_arrangement": _LECTURERS,
    "papers.live": _LECTURERS,
    "papers.marks": _LECTURERS,
    "papers.void": _LECTURERS,
    "papers.withdraw": _LECTURERS,
    "papers.sitting": _LECTURERS,
    "papers.change_mark": _LECTURERS,
    "papers.answer_appeal": _LECTURERS,
    "papers.figures": _LECTURERS,
    "papers.by_objective": _LECTURERS,
    "papers.export": _LECTURERS,
    "papers.regrade": _LECTURERS,
    "papers.apply_regrading": _LECTURERS,
    "sittings.index": _MEMBERS,
    "sittings.paper": _MEMBERS,
    "sittings.start": _MEMBERS,
    "sittings.sitting": _MEMBERS,
    "sittings.item": _MEMBERS,
    "sittings.keep": _MEMBERS,
    "sittings.autosave": _MEMBERS,
    "sittings.clock": _MEMBERS,
    "sittings.rest": _MEMBERS,
    "sittings.go_on": _MEMBERS,
    "sittings.hand_in": _MEMBERS,
    "sittings.result": _MEMBERS,
    "sittings.result_item": _MEMBERS,
    "sittings.appeal": _MEMBERS,
}
