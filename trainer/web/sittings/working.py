"""While somebody sits: an item, its saves, rest breaks, and the review before handing in."""

from __future__ import annotations

from flask import flash, jsonify, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.papers.words import SittingState
from trainer.services.sittings.clock import LATE_GRACE_S, WARNINGS_S
from trainer.services.sittings.errors import SittingOverError, SittingPausedError
from trainer.services.sittings.records import Answers
from trainer.services.sittings.working import ItemView, Saved, SaveState, Working
from trainer.web.asked.figures import figures_of
from trainer.web.asked.forms import field_of
from trainer.web.people.entry import Page
from trainer.web.practice.drawings import kept_drawing
from trainer.web.practice.forms import SHOW
from trainer.web.practice.groups import groups_of, places_of
from trainer.web.practice.pieces import pieces_of
from trainer.web.practice.wired import translated_engine
from trainer.web.present import here
from trainer.web.sittings.blueprint import blueprint
from trainer.web.sittings.forms import GO, filled_of, parts_of, read_answers, read_stamp, without_script
from trainer.web.sittings.wired import sitting_desk
from trainer.web.wiring import wiring


@blueprint.errorhandler(SittingOverError)
def over(_error: SittingOverError) -> Page:
    """Somebody opens a sitting that has ended: the page that says so."""
    arguments = request.view_args or {}
    return redirect(url_for("sittings.result", sitting_id=arguments["sitting_id"]), code=303)


@blueprint.errorhandler(SittingPausedError)
def paused(_error: SittingPausedError) -> Page:
    """Somebody opens an item in a rest break: the page that ends the break."""
    if request.method == "POST":
        flash(_words(Saved(state=SaveState.PAUSED, stands=None, left_s=None)))
    arguments = request.view_args or {}
    return redirect(url_for("sittings.sitting", sitting_id=arguments["sitting_id"]), code=303)


@blueprint.get("/sittings/<sitting_id>")
def sitting(sitting_id: str) -> Page:
    """What is answered, what is not, and handing in; the break page while the clock stands."""
    review = sitting_desk(Working).review(here(), sitting_id)
    state = review.standing.sitting.state
    if state is SittingState.PAUSED:
        return render_template("sittings/break.html", standing=review.standing)
    if state is not SittingState.RUNNING:
        return redirect(url_for("sittings.result", sitting_id=sitting_id), code=303)
    return render_template("sittings/review.html", review=review, standing=review.standing, warnings=WARNINGS_S)


@blueprint.get("/sittings/<sitting_id>/items/<int:position>")
def item(sitting_id: str, position: int) -> Page:
    """One item with what stands in it."""
    view = sitting_desk(Working).item(here(), sitting_id, position)
    return _item_page(view, view.answers)


@blueprint.post("/sittings/<sitting_id>/items/<int:position>")
def keep(sitting_id: str, position: int) -> Page:
    """Saves an item by its button and goes where the button says."""
    me, desk = here(), sitting_desk(Working)
    view = desk.item(me, sitting_id, position)
    answers = read_answers(request.form, view.task)
    if SHOW in request.form:
        return _item_page(view, answers)
    stamp = without_script(read_stamp(request.form), view.saved)
    saved = desk.save(me, sitting_id, position, answers, stamp)
    if saved.state is SaveState.OLDER:
        return _item_page(desk.item(me, sitting_id, position), None, notice=_words(saved, zone=" UTC")), 409
    if saved.state is SaveState.OVER:
        return redirect(url_for("sittings.result", sitting_id=sitting_id), code=303)
    if saved.state is not SaveState.SAVED:
        flash(_words(saved, zone=" UTC"))
    return redirect(_gone_to(view, request.form.get(GO, "")), code=303)


@blueprint.post("/sittings/<sitting_id>/items/<int:position>/save")
def autosave(sitting_id: str, position: int) -> tuple[Response, int]:
    """Saves an item as its page changes; the answer is sent when what it says is durable."""
    me, desk = here(), sitting_desk(Working)
    try:
        asked = desk.answerable(me, sitting_id, position)
    except SittingOverError:
        return _told(Saved(state=SaveState.OVER, stands=None, left_s=0))
    except SittingPausedError:
        return _told(Saved(state=SaveState.PAUSED, stands=None, left_s=None))
    return _told(desk.save(me, sitting_id, position, read_answers(request.form, asked), read_stamp(request.form)))


@blueprint.get("/sittings/<sitting_id>/clock")
def clock(sitting_id: str) -> Response:
    """How much time is left by the server's clock."""
    standing = sitting_desk(Working).look(here(), sitting_id)
    return jsonify(state=standing.sitting.state.value, left_s=standing.left_s)


@blueprint.post("/sittings/<sitting_id>/break")
def rest(sitting_id: str) -> Response:
    """Stops the clock for a rest break."""
    sitting_desk(Working).rest(here(), sitting_id)
    return redirect(url_for("sittings.sitting", sitting_id=sitting_id), code=303)


@blueprint.post("/sittings/<sitting_id>/go-on")
def go_on(sitting_id: str) -> Response:
    """Ends a rest break."""
    sitting_desk(Working).go_on(here(), sitting_id)
    return redirect(url_for("sittings.sitting", sitting_id=sitting_id), code=303)


def _gone_to(view: ItemView, go: str) -> str:
    """Where a button of the item page leads."""
    sitting_id, position = view.standing.sitting.id, view.item.position
    if go in {"flag", "unflag"}:
        sitting_desk(Working).flag(here(), sitting_id, position, flagged=go == "flag")
    positions = [each.position for each in view.items]
    wanted = int(go) if go.isascii() and go.isdigit() and len(go) < 4 else position
    if go == "review":
        return url_for("sittings.sitting", sitting_id=sitting_id)
    return url_for("sittings.item", sitting_id=sitting_id, position=wanted if wanted in positions else position)


def _item_page(view: ItemView, answers: Answers | None, notice: str = "") -> str:
    shown = view.answers if answers is None else answers
    task, engine = view.task, translated_engine()
    filled, pieces = filled_of(shown), pieces_of(view.item.content_hash)
    common = {
        "view": view,
        "standing": view.standing,
        "task": task,
        "filled": filled,
        "pieces": pieces,
        "notice": notice,
        "base": view.saved.sequence if view.saved else 0,
        "sender": wiring().new_id(),
        "warnings": WARNINGS_S,
        "grace_s": LATE_GRACE_S,
    }
    if task.asks:
        parts = parts_of(task, shown)
        figures = pieces.thing("figures", lambda: figures_of(task, engine))
        return render_template("sittings/ask.html", **common, figures=figures, parts=parts, field_of=field_of)
    known = [each.id for each in task.decisions]
    chosen = {name: value for name, value in shown.given.items() if name in known}
    return render_template(
        "sittings/choose.html",
        **common,
        diagram=kept_drawing(pieces, task, chosen, engine),
        places=pieces.thing("places", lambda: places_of(task.decisions)),
        groups=pieces.thing("groups without marks", lambda: groups_of(task, [0] * len(known), engine.gettext)),
    )


def _told(saved: Saved) -> tuple[Response, int]:
    at = saved.stands.saved_at.isoformat() if saved.stands else None
    sequence = saved.stands.sequence if saved.stands else 0
    answer = jsonify(state=saved.state.value, sequence=sequence, saved_at=at, words=_words(saved), left_s=saved.left_s)
    return answer, 200 if saved.is_kept else 409


def _words(saved: Saved, *, zone: str = "") -> str:
    """What became of a save, in plain words; the script puts the time into the zone of the device."""
    at = f"{saved.stands.saved_at:%H:%M}{zone}" if saved.stands else ""
    match saved.state:
        case SaveState.SAVED:
            said = gettext("saved %(time)s", time=at)
        case SaveState.LATE:
            said = gettext("saved %(time)s, after the time was up: it counts and is marked late", time=at)
        case SaveState.OLDER:
            said = gettext(
                "Not saved: another page or device saved this item later, at %(time)s. What stands there now is shown "
                "when you load this page again.",
                time=at,
            )
        case SaveState.PAUSED:
            said = gettext("Not saved: the clock stands for your rest break. Go on first, then save again.")
        case SaveState.OVER:
            said = gettext("Not saved: the time is up. What was saved before is handed in.")
    return str(said)
