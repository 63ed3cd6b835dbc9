"""The diagram as SVG, and its text twin as nested lists."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from trainer.domain.installation import Installation
from trainer.explain.diagram.layout import drawing_of
from trainer.explain.diagram.nodes import Node, NodeKind, Outline
from trainer.explain.diagram.outline import Request, outline
from trainer.explain.engine import Engine, plain_engine


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagram:
    """The drawing and the same in words."""

    svg: Markup
    twin: Markup


def single_line(
    house: Installation,
    request: Request | None = None,
    *,
    engine: Engine | None = None,
    prefix: str = "house",
) -> Diagram:
    """The single-line diagram of an installation with its text twin.

    ``prefix`` keeps the ids of several diagrams on one page apart.
    """
    using = engine or plain_engine()
    tree = outline(house, request or Request(translate=using.gettext))
    drawing = drawing_of(tree, _description(tree, using))
    return Diagram(
        svg=using.render("diagrams/single_line.svg", {"drawing": drawing, "prefix": prefix}),
        twin=using.render("diagrams/outline.html", {"outline": tree}),
    )


def _description(tree: Outline, engine: Engine) -> str:
    counts = dict.fromkeys(NodeKind, 0)
    for node in every_node(tree):
        counts[node.kind] += 1
    return engine.gettext(
        "Single-line diagram: boards {boards}, devices {devices}, circuits {circuits}. "
        "The list below the drawing says the same in words."
    ).format(boards=counts[NodeKind.BOARD], devices=counts[NodeKind.DEVICE], circuits=counts[NodeKind.CIRCUIT])


def every_node(tree: Outline) -> Iterator[Node]:
    """All nodes of an outline, each before what it feeds."""
    waiting = [tree.supply, tree.fuse, tree.earthing, *tree.trees]
    while waiting:
        node = waiting.pop(0)
        yield node
        waiting = [*node.children, *waiting]
