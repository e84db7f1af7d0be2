"""House rules for Python modules: each function reads one module and says what breaks the rule."""

import ast
import re
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

Function = ast.FunctionDef | ast.AsyncFunctionDef
FORBIDDEN_NAMES = {"utils", "helpers", "common", "misc", "core", "base", "services", "managers", "signals"}
CLOCK = {"now", "today", "utcnow", "time", "localtime", "perf_counter", "localdate"}
WRITES = {
    "save", "create", "delete", "bulk_create", "bulk_update", "get_or_create", "update_or_create",
    "asave", "acreate", "adelete", "abulk_create", "abulk_update", "aget_or_create", "aupdate_or_create", "aupdate",
}  # fmt: skip
# Dictionaries that carry keyword arguments have an update() of their own.
DICTIONARIES = {"kwargs", "context", "attrs", "defaults", "options", "data", "params", "headers", "environ"}
SHOWN_ARGUMENTS = {"label", "help_text", "verbose_name", "verbose_name_plural", "empty_label", "message"}
# Calls whose first argument, and after the request whose second, is a sentence for people.
SHOWN_FIRST = {"ValidationError", "Refused"}
SHOWN_SECOND = {f"messages.{level}" for level in ("debug", "info", "success", "warning", "error")}


@dataclass(frozen=True)
class Module:
    """One source file: its dotted name and what it says."""

    name: str
    text: str

    @property
    def tree(self) -> ast.Module:
        return ast.parse(self.text)

    @property
    def last_name(self) -> str:
        return self.name.rpartition(".")[2]


def modules(folder: Path, *, root: Path) -> list[Module]:
    paths = sorted(path for path in folder.rglob("*.py") if "migrations" not in path.parts)
    return [Module(_dotted(path.relative_to(root)), path.read_text(encoding="utf-8")) for path in paths]


def _dotted(path: Path) -> str:
    return ".".join(path.with_suffix("").parts).removesuffix(".__init__")


def functions(tree: ast.AST, prefix: str = "") -> Iterator[tuple[str, Function]]:
    """Every function with its qualified name, methods and inner functions among them."""
    for node in ast.iter_child_nodes(tree):
        name = f"{prefix}{node.name}" if isinstance(node, Function | ast.ClassDef) else prefix
        if isinstance(node, Function):
            yield name, node
        inner = f"{name}." if isinstance(node, Function | ast.ClassDef) else prefix
        yield from functions(node, inner)


def lines_of(function: Function) -> int:
    """Lines from `def` to the end, without the docstring."""
    length = (function.end_lineno or function.lineno) - function.lineno + 1
    first = function.body[0]
    if ast.get_docstring(function) is not None:
        length -= (first.end_lineno or first.lineno) - first.lineno + 1
    return length


def long_module(module: Module, *, limit: int) -> list[str]:
    count = sum(1 for line in module.text.splitlines() if line.strip())
    return [f"{module.name} has {count} lines, at most {limit}"] if count > limit else []


def long_functions(module: Module, *, limit: int) -> list[str]:
    return [
        f"{module.name}.{name} has {lines_of(node)} lines, at most {limit}"
        for name, node in functions(module.tree)
        if lines_of(node) > limit
    ]


def long_views(module: Module, *, limit: int) -> list[str]:
    return [
        f"{module.name}.{name} has {lines_of(node)} lines, a view has at most {limit}"
        for name, node in functions(module.tree)
        if node.args.args and node.args.args[0].arg == "request" and lines_of(node) > limit
    ]


def many_positional(module: Module, *, limit: int, exempt: Iterable[str] = ()) -> list[str]:
    finds = []
    for name, node in functions(module.tree):
        names = [argument.arg for argument in node.args.posonlyargs + node.args.args]
        count = len(names) - (names[:1] in (["self"], ["cls"]))
        if count > limit and f"{module.name}.{name}" not in exempt:
            finds.append(f"{module.name}.{name} takes {count} positional parameters, at most {limit}")
    return finds


def forbidden_name(module: Module) -> list[str]:
    found = FORBIDDEN_NAMES.intersection(module.name.split("."))
    return [f"{module.name}: no module is called {name}" for name in sorted(found)]


def missing_docstring(module: Module) -> list[str]:
    if not module.text.strip() or ast.get_docstring(module.tree):
        return []
    return [f"{module.name} does not say in one sentence what it is for"]


def imports(tree: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from ((f"{node.module}.{alias.name}", node) for alias in node.names)


def foreign_imports(module: Module, *, allowed: Iterable[str]) -> list[str]:
    """Imports that are neither the standard library nor below one of the allowed names."""
    names = (*sys.stdlib_module_names, *allowed)
    return [
        f"{module.name} imports {name}"
        for name, _ in imports(module.tree)
        if not any(name == each or name.startswith(f"{each}.") for each in names)
    ]


def top_level_imports(module: Module, *, of: str) -> list[str]:
    tree = module.tree
    inside = {id(inner) for _, node in functions(tree) for inner in ast.walk(node)}
    return [
        f"{module.name} imports {name} outside a function"
        for name, node in imports(tree)
        if name.split(".")[0] == of and id(node) not in inside
    ]


def clock_reads(module: Module) -> list[str]:
    return [
        f"{module.name}:{node.lineno} reads the clock ({node.func.attr})"
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CLOCK
        and isinstance(node.func.value, ast.Name | ast.Attribute)
        and re.search(r"\b(datetime|date|time|timezone)$", ast.unparse(node.func.value))
    ]  # fmt: skip


def signals(module: Module) -> list[str]:
    return [
        f"{module.name} uses signals ({name})"
        for name, _ in imports(module.tree)
        if {"signals", "dispatch"}.intersection(name.split("."))
    ]


def banned_django(module: Module) -> list[str]:
    found = [name for name, _ in imports(module.tree) if name.startswith("django.contrib.admin")]
    found += re.findall(r"\bModelForm\b|\bmodelform_factory\b|\bmodelformset_factory\b", module.text)
    return [f"{module.name} uses {name}" for name in found]


def overrides(module: Module) -> list[str]:
    return [
        f"{module.name}.{name} overrides what the database does"
        for name, _ in functions(module.tree)
        if re.search(r"\.(a?save|a?delete|save_base|clean|full_clean)$", name)
    ]


def writes(module: Module, *, exempt: Iterable[tuple[str, str]] = ()) -> list[str]:
    """Calls that write rows; `exempt` names calls that look so and are none, as (module, start of the call)."""
    calls = [
        (ast.unparse(node.func), node.lineno)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and _is_write(node, node.func)
    ]
    known = tuple(start for name, start in exempt if name == module.name)
    return [f"{module.name}:{line} writes: {call}()" for call, line in calls if not (known and call.startswith(known))]


def _is_write(call: ast.Call, function: ast.Attribute) -> bool:
    if function.attr in WRITES:
        return True
    if function.attr != "update" or call.args:
        return False  # a dictionary or a set takes another one
    receiver = function.value
    return not (isinstance(receiver, ast.Name) and receiver.id in DICTIONARIES) and bool(call.keywords)


def untranslated(module: Module) -> list[str]:
    """Sentences that people would read, given as plain strings to forms, columns, messages and errors."""
    shown = [each for node in ast.walk(module.tree) if isinstance(node, ast.Call) for each in _shown(node)]
    return [f"{module.name}:{each.lineno} is not translated: {ast.unparse(each)}" for each in shown if _wordy(each)]


def _shown(call: ast.Call) -> list[ast.expr]:
    shown = [keyword.value for keyword in call.keywords if keyword.arg in SHOWN_ARGUMENTS]
    name = ast.unparse(call.func)
    shown += call.args[:1] if name.rpartition(".")[2] in SHOWN_FIRST else []
    return shown + (call.args[1:2] if name in SHOWN_SECOND else [])


def untranslated_choices(module: Module) -> list[str]:
    """Labels of choices that are plain strings."""
    return [
        f"{module.name}:{line.lineno} is not translated: {ast.unparse(line.value)}"
        for node in ast.walk(module.tree)
        if isinstance(node, ast.ClassDef) and any(ast.unparse(base).endswith("Choices") for base in node.bases)
        for line in node.body
        if isinstance(line, ast.Assign) and isinstance(line.value, ast.Tuple) and _wordy(line.value.elts[-1])
    ]


def _wordy(node: ast.expr) -> bool:
    if isinstance(node, ast.JoinedStr):
        return any(_wordy(part) for part in node.values)
    return (
        isinstance(node, ast.Constant) and isinstance(node.value, str) and bool(re.search(r"[A-Za-z]{2}", node.value))
    )
