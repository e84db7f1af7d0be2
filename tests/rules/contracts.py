"""House rules for the shape of functions: queries, actions and the docstrings of measures."""

import ast
import re
from collections.abc import Iterable, Iterator

from tests.rules.modules import Function, Module, imports

# What only managers and query sets are asked.
QUERIES = {"objects", "filter", "exclude", "annotate", "aggregate", "select_related", "prefetch_related", "in_bulk"}
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
    """Public functions that read rows and whose first parameter is not the viewer."""
    finds = []
    for node in public_functions(module):
        first = (node.args.posonlyargs + node.args.args)[:1]
        if _reads(node, module) and [argument.arg for argument in first] != ["viewer"]:
            finds.append(f"{module.name}.{node.name}: the first parameter is viewer")
    return finds


def _reads(node: Function, module: Module) -> bool:
    """Whether a function asks the database, itself or through a scope; one that tidies what it is given does not."""
    scopes = {name.rpartition(".")[2] for name, _ in imports(module.tree) if name.startswith("tracker.access.scopes")}
    used = {inner.attr for inner in ast.walk(node) if isinstance(inner, ast.Attribute)}
    named = {inner.id for inner in ast.walk(node) if isinstance(inner, ast.Name)}
    return bool(used & QUERIES or named & scopes)


def entries(package: str, users: Iterable[Module]) -> set[str]:
    """Dotted names of what others use of a package: `from package.one import act`, or `one.act` after importing one."""
    found = set()
    for user in users:
        tree = user.tree
        names = _imported(tree, package)
        found |= set(names.values())
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in names:
                found.add(f"{names[node.value.id]}.{node.attr}")
    return found


def _imported(tree: ast.AST, package: str) -> dict[str, str]:
    """The names under which a module knows the package's modules and functions."""
    return {
        alias.asname or alias.name: f"{node.module}.{alias.name}"
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module and f"{node.module}.".startswith(f"{package}.")
        for alias in node.names
    }


def misshapen_actions(
    module: Module, *, used: Iterable[str], readers: Iterable[str] = (), exempt: Iterable[str] = ()
) -> list[str]:
    """Actions, that is functions which those above the package use, in another shape. Steps inside it are free."""
    return [
        f"{module.name}.{node.name}: {find}"
        for node in public_functions(module)
        if f"{module.name}.{node.name}" in used and not _exempt(module, node, exempt)
        for find in _shape_finds(node, reader=_exempt(module, node, readers))
    ]


def _shape_finds(node: Function, *, reader: bool) -> list[str]:
    keywords = {argument.arg for argument in node.args.kwonlyargs}
    needed = ("by",) if reader else ("by", "on")
    finds = [f"an action takes {each}=" for each in needed if each not in keywords]
    if node.args.posonlyargs or node.args.args or node.args.vararg:
        finds.append("actions take keywords only")
    if not reader and not any("transaction.atomic" in each for each in decorators(node)):
        finds.append("an action is one @transaction.atomic")
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
