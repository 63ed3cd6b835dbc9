"""What was found, as rows of a table and as a list of the changes that no test noticed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from tests.mutation.reasons import reasons


class Mutant(NamedTuple):
    """One change that was tried."""

    module: str
    line: int
    operator: str
    survived: bool
    reached: bool
    before: str
    after: str

    @property
    def same(self) -> bool:
        """True where no test can notice: the change says the same in other words."""
        # Imported late: it loads the product, and a run from the start must come before that.
        from tests.mutation.equivalents import same_in_other_words

        return self.survived and same_in_other_words(self.before, self.after)

    @property
    def looked_at(self) -> bool:
        """True where somebody wrote down why no test can notice."""
        return self.survived and not self.same and (self.module, self.before, self.after) in reasons()


HEAD = "| module | changes | noticed | share | same in other words | looked at | left |\n|---|---|---|---|---|---|---|"


def figures(name: str, tried: Sequence[Mutant]) -> str:
    """One row of a table: how many changes, how many noticed, how many cannot be, how many are left."""
    killed = sum(not each.survived for each in tried)
    same, looked_at = sum(each.same for each in tried), sum(each.looked_at for each in tried)
    share = f"{100 * killed / len(tried):.1f} %" if tried else "nothing to change"
    left = len(tried) - killed - same - looked_at
    return f"| {name} | {len(tried)} | {killed} | {share} | {same} | {looked_at} | {left} |"


def survivors(tried: Sequence[Mutant]) -> str:
    """The changes that a test could have noticed and none did, one in a line."""
    left = [each for each in tried if each.survived and not each.same and not each.looked_at]
    return "\n".join(
        f"{each.module}:{each.line} {each.operator}{'' if each.reached else ' (no test comes here)'}\n"
        f"  - {each.before}\n  + {each.after}"
        for each in left
    )
