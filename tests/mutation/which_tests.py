"""Which tests may notice a change of a module: folders and files, the module's own first."""

from __future__ import annotations

import importlib
from pathlib import Path

# One reads the source of the rules instead of judging a house and would notice any number that is changed; the other
# runs all the others once more. The rest start processes of their own, which know nothing of a change.
LEFT_OUT = (
    "tests/domain/rules/test_book.py",
    "tests/domain/rules/test_every_rule_is_tested.py",
    "tests/services/sittings/test_many_processes.py",
)
# By the longest beginning that fits; what is not here has the folder that mirrors its own. Tests that take seconds each
# are left out where shorter ones say the same.
FOLDERS = {
    "trainer/domain/answers": ("tests/domain/answers", "tests/domain/asks"),
    "trainer/domain/calculations": ("tests/domain/calculations", "tests/domain/rules", "tests/reference"),
    "trainer/domain/findings.py": ("tests/domain/test_findings.py", "tests/domain/rules"),
    "trainer/domain/limits": ("tests/domain/limits", "tests/domain/rules"),
    "trainer/services/people": (
        "tests/services/people",
        "tests/web/people/test_links.py",
        "tests/web/people/test_second_factor.py",
        "tests/web/people/test_signing_in.py",
        "tests/security/test_lost_device.py",
    ),
    "trainer/services/privacy": ("tests/services/privacy",),
    "trainer/services/sittings": ("tests/services/sittings", "tests/persistence/sittings"),
    "trainer/web/guard.py": ("tests/web/people/test_walls.py", "tests/web/people/test_second_factor.py"),
}
# What tests of a folder make once and keep, and what to make it for: made before the children are, so that each has it.
# Only where no module that is changed takes part in making it.
MADE_ONCE = {"trainer/services/sittings": ("tests.services.sittings.world", "tasks_of", (1, 2))}
# Tests whose file is not named after the module that they are about.
FURTHER = {
    "trainer/domain/answers/solver.py": ("tests/domain/answers/test_nearest.py",),
    "trainer/services/people/second_factor.py": ("tests/services/people/test_sessions.py",),
    "trainer/services/people/signing_in.py": ("tests/services/people/test_sessions.py",),
    "trainer/domain/rules/charger.py": ("tests/domain/rules/test_maker_word.py",),
    "trainer/domain/rules/series.py": (
        "tests/domain/rules/test_shared_dc.py",
        "tests/domain/rules/test_selectivity.py",
    ),
}


def mirrored(module: str) -> Path:
    """The folder of tests that mirrors the module's own."""
    return Path("tests") / Path(module).parent.relative_to("trainer")


def make_once(module: str) -> None:
    """Makes what the tests of a module keep."""
    for beginning, (place, maker, numbers) in MADE_ONCE.items():
        if module.startswith(beginning):
            for number in numbers:
                getattr(importlib.import_module(place), maker)(number)


def own_tests(module: str) -> list[str]:
    """The test files of a module, by name."""
    stem, folder = Path(module).stem, mirrored(module)
    files = [*folder.glob(f"test_{stem}.py"), *folder.glob(f"test_{stem}_*.py"), *map(Path, FURTHER.get(module, ()))]
    return sorted({str(file) for file in files})


def folders(module: str) -> tuple[str, ...]:
    """The folders and files of tests that may notice a change of the module."""
    fitting = [beginning for beginning in FOLDERS if module.startswith(beginning)]
    named = FOLDERS[max(fitting, key=len)] if fitting else (str(mirrored(module)),)
    return tuple(each for each in named if Path(each).exists())


def files(module: str, *, own: bool) -> tuple[str, ...]:
    """What to run: all that may notice, or the module's own tests where it has some."""
    return tuple(own_tests(module)) if own and own_tests(module) else folders(module)
