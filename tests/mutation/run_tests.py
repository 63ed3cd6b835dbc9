"""Run the tests of one rule module, then those of all rules; ends with 0 when nothing failed.

The first run is short and notices most changes; the second is there for what only another subject's tests see.
"""

from __future__ import annotations

import sys
from pathlib import Path

RULES = Path("tests/domain/rules")
# One reads the source of the rules instead of judging a house and would notice any number that is changed; the other
# runs all the others once more.
LEFT_OUT = ("test_book.py", "test_every_rule_is_tested.py")
# Tests whose file is not named after the module that they are about.
FURTHER = {
    "charger": ("test_maker_word.py",),
    "series": ("test_shared_dc.py", "test_selectivity.py"),
}
OPTIONS = ("-q", "-x", "-p", "no:cacheprovider", "--tb=no", "--no-header", "-o", "addopts=--import-mode=importlib")


def own_tests(module: str) -> list[str]:
    """The test files of a module, by name."""
    stem = Path(module).stem
    mirrored = Path("tests") / Path(module).parent.relative_to("trainer")
    files = [*mirrored.glob(f"test_{stem}.py"), *mirrored.glob(f"test_{stem}_*.py")]
    files += [RULES / name for name in FURTHER.get(stem, ())]
    return sorted(str(file) for file in files)


def main(module: str) -> int:
    """The exit code of the first run that fails, else 0."""
    sys.path.insert(0, str(Path.cwd()))
    import pytest

    own = own_tests(module)
    failed = pytest.main([*OPTIONS, *own]) if own else 0
    return int(failed or pytest.main([*OPTIONS, *(f"--ignore={RULES / name}" for name in LEFT_OUT), str(RULES)]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
