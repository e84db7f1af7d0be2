"""House rules for the shape of functions: queries, actions and the docstrings of measures."""

import ast
import re
from collections.abc import Iterable, Iterator

from tests.rules.modules import Function, Module, writes

SECTIONS = ("Parameters", "Returns", "Raises", "Source", "Examples")
# Whole numbers are mostly counts, keys and seeds, whose name is their unit; these are not.
MEASURED = {"seconds", "minutes", "digits", "correct", "wrong", "omitted", "possible"}


def public_functions(module: Module) -> Iterator[Function]:
    """Functions of the module itself that others may call; not the stubs of an overload."""
    for node in module.tree.body:
        if isinstance(node, Function) and not node.name.startswith("_") and "overload" not in decorators(node):
            yield node


def decorators(node: Function | ast.ClassDef) -> list[str]:
    return [ast.unparse(each) for each in node.decorator_list]


def _exempt(module: Module, node: Function, exempt: Iterable[str]) -> bool:
    """Exemptions name a function, or a module for all of its functions."""
    return not {module.name, f"{module.name}.{node.name}"}.isdisjoint(exempt)


def viewerless(module: Module) -> list[str]:
    """Public queries whose first parameter is not the viewer."""
    finds = []
    for node in public_functions(module):
        first = (node.args.posonlyargs + node.args.args)[:1]
        if [argument.arg for argument in first] != ["viewer"]:
            finds.append(f"{module.name}.{node.name}: the first parameter is viewer")
    return finds


def misshapen_actions(module: Module, *, readers: Iterable[str], exempt: Iterable[str]) -> list[str]:
    """Public functions of a writing module in another shape; a module that only reads or parses is free in its."""
    if not writes(module) and "note_change" not in module.text:
        return []
    finds = []
    for node in public_functions(module):
        name = f"{module.name}.{node.name}"
        if _exempt(module, node, exempt):
            continue
        if node.args.posonlyargs or node.args.args or node.args.vararg:
            finds.append(f"{name}: actions take keywords only")
        keywords = {argument.arg for argument in node.args.kwonlyargs}
        finds += [f"{name}: an action takes {each}=" for each in ("by", "on") if each not in keywords]
        if not _exempt(module, node, readers) and not any("transaction.atomic" in each for each in decorators(node)):
            finds.append(f"{name}: an action is one @transaction.atomic")
    return finds


def poor_docstrings(module: Module) -> list[str]:
    """Public measures that do not state what the house asks for."""
    finds = []
    for node in public_functions(module):
        finds += [f"{module.name}.{node.name} {find}" for find in _function_finds(node)]
    for node in module.tree.body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_") and not _plain_class(node):
            finds += [f"{module.name}.{node.name} {find}" for find in _class_finds(node)]
    return finds


def _plain_class(node: ast.ClassDef) -> bool:
    """Enumerations and errors say all in one sentence; protocols are types."""
    return any(re.search(r"(Enum|Error|Exception|Protocol|TypedDict)$", ast.unparse(base)) for base in node.bases)


def _function_finds(node: Function) -> list[str]:
    text = ast.get_docstring(node) or ""
    given = [
        a.arg for a in node.args.posonlyargs + node.args.args + node.args.kwonlyargs if a.arg not in {"self", "cls"}
    ]
    needed = [section for section in SECTIONS if given or section != "Parameters"]
    finds = [f"has no section {section}" for section in needed if not _section(text, section)]
    finds += _example_finds(text)
    described = _entries(_section(text, "Parameters"))
    finds += [f"does not describe {name}" for name in given if given and name not in described]
    return finds + _unit_finds(described)


def _class_finds(node: ast.ClassDef) -> list[str]:
    text = ast.get_docstring(node) or ""
    finds = [f"has no section {section}" for section in ("Source", "Examples") if not _section(text, section)]
    entries = _entries(_section(text, "Parameters")) | _entries(_section(text, "Attributes"))
    return finds + _example_finds(text) + _unit_finds(entries)


def _example_finds(text: str) -> list[str]:
    return [] if ">>> " in _section(text, "Examples") else ["has no doctest in Examples"]


def _unit_finds(entries: dict[str, str]) -> list[str]:
    return [
        f"gives no unit for {name}"
        for name, body in entries.items()
        if ("float" in body.partition("\n")[0] or name in MEASURED) and not re.search(r"\[[^\]]+\]", body)
    ]


def _section(text: str, title: str) -> str:
    """The body under a title that is underlined, up to the next such title."""
    match = re.search(rf"^{title}\n-{{3,}}\n(.*?)(?=^\w[\w ]*\n-{{3,}}$|\Z)", text, re.S | re.M)
    return match.group(1).strip("\n") if match else ""


def _entries(section: str) -> dict[str, str]:
    """Each described name with its type and text; `correct, wrong : float` describes two."""
    entries: dict[str, str] = {}
    for match in re.finditer(r"^([*\w][\w, *]*?)(?: ?: ?(.*))?((?:\n(?:[ \t]+.*)?)*)$", section, re.M):
        body = f"{match.group(2) or ''}\n{match.group(3)}"
        entries |= {name.strip(" *"): body for name in match.group(1).split(",")}
    return entries
