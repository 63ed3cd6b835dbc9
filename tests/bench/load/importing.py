"""What importing the application takes beside importing the libraries that its modules name."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from functools import cache
from pathlib import Path

_TIMED = """
import resource, sys
names = sys.argv[1:]
for name in names:
    __import__(name)
used = resource.getrusage(resource.RUSAGE_SELF)
print(used.ru_utime + used.ru_stime)
"""
_LOADED = """
import json, sys
for name in sys.argv[1:]:
    __import__(name)
print(json.dumps({name: module.__file__ for name, module in sys.modules.items()
    if name.partition(".")[0] == "trainer" and getattr(module, "__file__", None)}))
"""


def ratio(*, pages: bool) -> float:
    """Processor time of a process that imports the application, by that of one that imports its libraries.

    ``pages`` loads all pages too, as putting the application together does.
    """
    application, libraries = _names(pages)
    return _used_s(application) / _used_s(libraries)


@cache
def _names(pages: bool) -> tuple[tuple[str, ...], tuple[str, ...]]:
    from trainer.web.app import BLUEPRINTS

    # Whatever is drawn or judged needs numpy, whether the first module does or not.
    application = ("numpy", "trainer.web.app", *(BLUEPRINTS if pages else ()))
    said = subprocess.run([sys.executable, "-c", _LOADED, *application], check=True, capture_output=True, text=True)
    loaded: dict[str, str] = json.loads(said.stdout)
    named = {name for file in loaded.values() for name in _named_in(Path(file))}
    return application, ("numpy", *sorted(named))


def _named_in(file: Path) -> set[str]:
    """Modules of others that a module of ours imports when it is loaded."""
    names: set[str] = set()
    for node in ast.parse(file.read_text("utf-8")).body:
        if isinstance(node, ast.Import):
            names |= {each.name for each in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module)
    return {name for name in names if name.partition(".")[0] not in {"trainer", "__future__"}}


def _used_s(names: tuple[str, ...]) -> float:
    said = subprocess.run([sys.executable, "-c", _TIMED, *names], check=True, capture_output=True, text=True)
    return float(said.stdout)
