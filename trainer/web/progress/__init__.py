"""What a learner of this browser has earned, and what to look at again."""

from __future__ import annotations

from flask import Blueprint, render_template

from trainer.services.objectives import objectives
from trainer.services.regrading import judged_again
from trainer.web.learner import current_learner
from trainer.web.practice.wired import practice

blueprint = Blueprint("progress", __name__)


@blueprint.get("/progress")
def show() -> str:
    """Marks by objective, misconceptions, the latest attempts."""
    learner = current_learner()
    progress = practice().progress(learner.id) if learner else None
    return render_template(
        "practice/progress.html",
        progress=progress,
        again=judged_again(practice().storage, [each.id for each in progress.latest]) if progress else {},
        weakest=progress.weakest if progress else None,
        offered=practice().offered_level(learner.id if learner else None),
        objectives=objectives(),
        misconceptions={each.id: each for each in practice().catalogue},
    )
