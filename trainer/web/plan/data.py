"""What is kept about a learner: a copy of all of it, and its deletion."""

from __future__ import annotations

from flask import Response, abort, redirect, render_template, request, session, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response as AnyResponse

from trainer.domain.errors import TrainerError
from trainer.services.operation.audit import Actor
from trainer.services.people.names import as_typed_to_sign_in
from trainer.services.people.records import Standing
from trainer.services.privacy.copies import text_of
from trainer.web.plan.blueprint import blueprint
from trainer.web.plan.sets import leave
from trainer.web.plan.wired import copies, erasing, learner_id
from trainer.web.present import LEARNER, forget, present_owner

_CONFIRMED = "yes"


@blueprint.get("/plan/data")
def data() -> str:
    """What is kept, and what can be done with it."""
    account = present_owner() is not None
    return render_template("plan/data.html", known=account or learner_id() is not None, account=account)


@blueprint.get("/plan/data.json")
def copy() -> Response:
    """A copy of everything that is kept about the learner, as a file."""
    standing, learner = present_owner(), learner_id()
    if standing is not None:
        document = copies().of_account(standing.person.id)
    elif learner is not None:
        document = copies().of_practice(learner)
    else:
        abort(404)
    answer = Response(text_of(document), mimetype="application/json")
    answer.headers["Content-Disposition"] = "attachment; filename=protection-trainer-data.json"
    answer.headers["Cache-Control"] = "no-store"
    return answer


@blueprint.post("/plan/data")
def erase() -> AnyResponse | tuple[str, int]:
    """Lets the practice of this learner belong to nobody; statistics and the log stay whole."""
    standing, learner = present_owner(), learner_id()
    if standing is not None:
        return _erase_account(standing)
    if learner is None:
        abort(404)
    if request.form.get("sure") != _CONFIRMED:
        problem = gettext("Tick that you are sure; nothing was deleted.")
        return render_template("plan/data.html", known=True, account=False, problem=problem), 400
    erasing().practice(learner, Actor(kind="visitor"))
    session.pop(LEARNER, None)
    leave()
    return redirect(url_for("plan.data", deleted="1"), code=303)


def _erase_account(standing: Standing) -> AnyResponse | tuple[str, int]:
    """Takes the account away; each organisation keeps what it must keep, for its own time."""
    person = standing.person
    typed = request.form.get("name", "").strip()
    if request.form.get("sure") != _CONFIRMED or as_typed_to_sign_in(typed) != as_typed_to_sign_in(person.sign_in_name):
        problem = gettext("Tick that you are sure and type the name that you sign in with; nothing was deleted.")
        return render_template("plan/data.html", known=True, account=True, problem=problem), 400
    try:
        erasing().account(person.id, Actor(kind="person", id=person.id))
    except TrainerError as error:
        told = " ".join(map(str, error.problems))
        return render_template("plan/data.html", known=True, account=True, problem=told), 400
    forget()
    session.pop(LEARNER, None)
    leave()
    return redirect(url_for("plan.data", deleted="account"), code=303)
