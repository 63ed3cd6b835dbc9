"""What every rule of the book has in common: words, citation, objectives, and how it is written."""

from __future__ import annotations

import ast
import inspect
import sys
from collections.abc import Iterator
from types import ModuleType

import pytest

from trainer.domain.citations import Status
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Consequence, Edition

MODULES: tuple[ModuleType, ...] = tuple(
    module
    for name, module in sorted(sys.modules.items())
    if name.startswith("trainer.domain.rules.") and not name.endswith((".registry", ".book", ".version"))
)

VERDICTS = {"holds", "at_most", "at_least"}


def module_of(rule: Rule) -> ModuleType:
    return sys.modules[rule.judge.__module__]


def functions(module: ModuleType) -> dict[str, ast.FunctionDef]:
    tree = ast.parse(inspect.getsource(module))
    return {node.name: node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


def called(node: ast.AST) -> Iterator[ast.Call]:
    for each in ast.walk(node):
        if isinstance(each, ast.Call):
            yield each


def name_of(call: ast.Call) -> str:
    return ast.unparse(call.func)


def reached(rule: Rule) -> list[ast.FunctionDef]:
    """The rule's function and the functions of its module that it reaches."""
    known = functions(module_of(rule))
    found: dict[str, ast.FunctionDef] = {}
    waiting = [rule.name]
    while waiting:
        name = waiting.pop()
        if name in known and name not in found:
            found[name] = known[name]
            waiting.extend(name_of(call) for call in called(known[name]))
    return list(found.values())


def test_ids_are_given_once() -> None:
    ids = [rule.id for rule in ALL_RULES]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("rule", ALL_RULES, ids=lambda rule: rule.id)
def test_a_rule_says_what_must_hold_why_and_what_helps(rule: Rule) -> None:
    assert rule.statement.endswith(".")
    assert len(rule.why) > 20
    assert len(rule.remedy) > 5
    assert rule.citation.publication
    assert rule.citation.clause
    assert rule.editions <= set(Edition)
    assert Edition.A4_2026 in rule.editions


@pytest.mark.parametrize("rule", ALL_RULES, ids=lambda rule: rule.id)
def test_a_rule_serves_learning_objectives_of_the_list(rule: Rule) -> None:
    assert rule.objectives
    assert set(rule.objectives) <= {f"LO{number:02}" for number in range(1, 49)}


def numbers_in(source: str) -> list[str]:
    """The numbers of a piece of code but 0 and 1, also those that a text is turned into."""
    tree = ast.parse(source)
    # The exponent of a square is the form of a formula, not a value that somebody could look up.
    exponents = {
        id(node.right) for node in ast.walk(tree) if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Pow)
    }
    written = [
        f"line {node.lineno}: {node.value}"
        for node in ast.walk(tree)
        if id(node) not in exponents
        and isinstance(node, ast.Constant)
        and isinstance(node.value, int | float | complex)
        and not isinstance(node.value, bool)
        and node.value not in (0, 1)
    ]
    made = [
        f"line {call.lineno}: {ast.unparse(call)}"
        for call in called(tree)
        if name_of(call) in {"int", "float", "Decimal", "Fraction"} and isinstance(call.args[0], ast.Constant)
    ]
    return written + made


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_no_number_but_0_and_1_stands_in_a_rule(module: ModuleType) -> None:
    assert numbers_in(inspect.getsource(module)) == []


@pytest.mark.parametrize(
    "line",
    [
        "limit = 30",
        "limit = -5.0",
        "if value > 0.4: pass",
        "def rule(share=0.3): pass",
        "sizes = {'A': 6}",
        "value * 1.1",
        "x = 2 ** y",
        "limit = float('30')",
        "f = lambda: 200",
        "at_most(value, 50)",
    ],
)
def test_a_number_planted_in_a_rule_is_found(line: str) -> None:
    assert numbers_in(line)


@pytest.mark.parametrize("line", ["x = 0", "x == 1", "x ** 2", "x = True", "x = '30 mA'"])
def test_what_is_no_value_is_let_pass(line: str) -> None:
    assert numbers_in(line) == []


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_a_rule_reads_plain_attributes_and_hides_no_error(module: ModuleType) -> None:
    tree = ast.parse(inspect.getsource(module))
    calls = {name_of(call) for call in called(tree)}
    assert calls.isdisjoint({"getattr", "hasattr", "setattr", "replace", "asdict", "copy", "deepcopy"})
    handlers = [node for node in ast.walk(tree) if isinstance(node, ast.ExceptHandler)]
    assert all(handler.type is not None for handler in handlers)
    caught = {ast.unparse(handler.type) for handler in handlers if handler.type is not None}
    assert caught.isdisjoint({"Exception", "BaseException"})


PRACTICE = [rule for rule in ALL_RULES if rule.citation.status is Status.COMMON_PRACTICE]
DERIVED = [rule for rule in ALL_RULES if rule.citation.status is Status.DERIVED]


def can_fail(call: ast.Call) -> bool:
    """True for a verdict that may be a failure: neither plainly true nor with another outcome."""
    if name_of(call) not in VERDICTS:
        return False
    if any(keyword.arg == "otherwise" for keyword in call.keywords):
        return False
    first = call.args[0] if call.args else None
    return not (isinstance(first, ast.Constant) and first.value is True)


@pytest.mark.parametrize("rule", PRACTICE, ids=lambda rule: rule.id)
def test_common_practice_only_advises(rule: Rule) -> None:
    for function in reached(rule):
        failing = [ast.unparse(call) for call in called(function) if can_fail(call)]
        assert failing == []
        assert "DOES_NOT_COMPLY" not in ast.unparse(function)


@pytest.mark.parametrize("rule", DERIVED, ids=lambda rule: rule.id)
def test_inference_is_a_matter_of_design(rule: Rule) -> None:
    assert rule.consequence is Consequence.DESIGN
    assert not rule.citation.is_stated_requirement


def test_there_are_rules_of_both_kinds() -> None:
    assert PRACTICE
    assert DERIVED
