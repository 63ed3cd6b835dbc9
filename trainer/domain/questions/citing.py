"""The regulation behind an answer, with its status, in a sentence."""

from __future__ import annotations

from collections.abc import Iterable

from trainer.domain.citations import Citation
from trainer.domain.generator.judging import RULE_BY_ID
from trainer.domain.questions.desk import filled
from trainer.domain.questions.words import FamilyWords
from trainer.domain.vocabulary import Edition


def regulations(rules: Iterable[str], more: Iterable[Citation], edition: Edition, common: FamilyWords) -> str:
    """Where the answer stands: one sentence for each citation, none of them twice."""
    citations = dict.fromkeys([*(RULE_BY_ID[each].citation for each in rules), *more])
    return " ".join(dict.fromkeys(_sentence(each, edition, common) for each in citations))


def _sentence(citation: Citation, edition: Edition, common: FamilyWords) -> str:
    values = {
        "publication": citation.publication[:1].upper() + citation.publication[1:],
        "clause": citation.clause,
        "edition": citation.edition or "",
        "status": filled(common, "labels", citation.status.name.lower(), {}),
    }
    if citation.compare_with_current_book(edition):
        return filled(common, "labels", "regulation_to_compare", values)
    return filled(common, "labels", "regulation", values)
