"""The pages of lecturers: papers set, watched, marked, moderated and released."""

from __future__ import annotations

from trainer.services.people.words import Role
from trainer.web.access import Access, roles
from trainer.web.papers import again, building, exports, marks, needs, setting
from trainer.web.papers.blueprint import blueprint

__all__ = ["ACCESS", "again", "blueprint", "building", "exports", "marks", "needs", "setting"]

_LECTURERS = roles(Role.LECTURER, Role.ADMINISTRATOR)

ACCESS: dict[str, Access] = {
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
