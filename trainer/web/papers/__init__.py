"""The pages of lecturers: papers set, watched, marked, moderated and released."""

from __future__ import annotations

from trainer.services.people.words import Role
from trainer.web.access import STAFF, Access, roles
from trainer.web.papers import again, building, exports, looking, marks, needs, setting
from trainer.web.papers.blueprint import blueprint

__all__ = ["ACCESS", "again", "blueprint", "building", "exports", "looking", "marks", "needs", "setting"]

# Tasks are looked at by whoever sets work, papers or programmes.
_LOOKING: dict[str, Access] = {
    f"papers.{name}": STAFF for name in ("look_at", "mark_look", "seeds", "kept_task", "free_seed")
}
_LECTURERS = roles(Role.LECTURER, Role.ADMINISTRATOR)

ACCESS: dict[str, Access] = _LOOKING | {
    f"papers.{name}": _LECTURERS
    for name in (
        "index",
        "new",
        "show",
        "settings",
        "move",
        "new_code",
        "variants",
        "build",
        "preview",
        "mark_seed",
        "unmark_seeds",
        "arrangements",
        "end_arrangement",
        "live",
        "marks",
        "void",
        "withdraw",
        "sitting",
        "change_mark",
        "answer_appeal",
        "figures",
        "by_objective",
        "export",
        "regrade",
        "apply_regrading",
    )
}
