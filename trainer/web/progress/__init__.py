"""What a learner has earned, how sure that is, and what to do next."""

from __future__ import annotations

from flask import Blueprint, render_template

from trainer.services.objectives import objectives
from trainer.services.regrading.judging import judged_again
from trainer.web.learner import current_learner
from trainer.web.notes.subjects import SUBJECTS
from trainer.web.plan.pages import WHY
from trainer.web.plan.wired import plan_now, planning
from trainer.web.practice.wired import practice
from trainer.web.present import present_owner

blueprint = Blueprint("progress", __name__)

_LATEST = 10


@blueprint.get("/progress")
def show() -> str:
    """What comes next, the standing by objective, misconceptions, the latest attempts."""
    learner = current_learner()
    progress = practice().progress(learner.id, latest=_LATEST) if learner else None
    plan = plan_now()
    done, _ = planning().record(learner.id, page=1, size=_LATEST) if learner else ((), 0)
    return render_template(
        "practice/progress.html",
        progress=progress,
        again=judged_again(practice().storage, [each.id for each in progress.latest]) if progress else {},
        done={each.attempt_id: each for each in done},
        plan=plan,
        why=WHY,
        subjects=SUBJECTS,
        objectives=objectives(),
        misconceptions={each.id: each for each in practice().catalogue},
        account=present_owner() is not None,
    )
