"""The house rules hold: DEVELOPERS.md says why each is there. tests/test_rules.py shows that each one bites."""

import re
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from django.apps import apps
from django.db import models
from django.urls import URLPattern, URLResolver, get_resolver

from tests.rules import contracts, exemptions, modules, pages
from tests.rules.modules import Module

ROOT = Path(__file__).resolve().parents[1]
TOP_LEVEL = {
    ".ci", ".gitignore", "DEVELOPERS.md", "README.md", "fixtures_demo", "manage.py", "pyproject.toml", "static",
    "templates", "tests", "tracker",
}  # fmt: skip
PRODUCT = modules.modules(ROOT / "tracker", root=ROOT)
TESTS = modules.modules(ROOT / "tests", root=ROOT)


def under(*names: str) -> list[Module]:
    return [module for module in PRODUCT if any(f"{module.name}.".startswith(f"{name}.") for name in names)]


def every(rule: Callable[..., list[str]], among: Iterable[Module], **options: object) -> list[str]:
    return [find for module in among for find in rule(module, **options)]


def texts(folder: str, *suffixes: str) -> dict[str, str]:
    """Our own files below a folder, by name; what others wrote stands in folders called vendor."""
    paths = [
        path for path in sorted((ROOT / folder).rglob("*")) if path.suffix in suffixes and "vendor" not in path.parts
    ]
    return {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8") for path in paths}


def each_text(rule: Callable[..., list[str]], files: dict[str, str], **options: object) -> list[str]:
    return [f"{name}: {find}" for name, text in files.items() for find in rule(text, **options)]


def tracked() -> list[str]:
    """Files of the project: what git holds or would take."""
    command = ["git", "-C", str(ROOT), "ls-files", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()
    return [name for name in listed if (ROOT / name).is_file()]


def readable() -> dict[str, str]:
    files = {}
    for name in tracked():
        try:
            files[name] = (ROOT / name).read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
    return files


# Size and names


def test_modules_are_short():
    assert every(modules.long_module, [*PRODUCT, *TESTS], limit=300) == []


def test_functions_are_short():
    assert every(modules.long_functions, PRODUCT, limit=40) == []


def test_views_are_short():
    assert every(modules.long_views, under("tracker.web.views"), limit=20) == []


def test_parameters_are_named_from_the_fourth_on():
    assert every(modules.many_positional, PRODUCT, limit=3, exempt=exemptions.POSITIONAL) == []


def test_no_module_is_a_junk_drawer():
    assert every(modules.forbidden_name, [*PRODUCT, *TESTS]) == []


def test_modules_say_what_they_are_for():
    assert every(modules.missing_docstring, PRODUCT) == []


def test_commands_are_thin():
    assert every(modules.long_module, under("tracker.management.commands"), limit=100) == []


def test_nothing_else_stands_at_the_top():
    assert {name.partition("/")[0] for name in tracked()} - TOP_LEVEL == set()


def test_what_belongs_at_the_top_is_there():
    assert TOP_LEVEL - {name.partition("/")[0] for name in tracked()} == set()


# Layers: import-linter holds the contracts of pyproject.toml, the rest is what it cannot see


def test_layers_hold():
    lint = Path(sys.executable).with_name("lint-imports")
    run = subprocess.run([lint, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)

    assert run.returncode == 0, run.stdout[run.stdout.find("Contracts") :]


def test_measures_need_only_numpy():
    allowed = ("numpy", "tracker.measures")
    others = [module for module in under("tracker.measures") if module.name != "tracker.measures.cohort"]

    assert every(modules.foreign_imports, others, allowed=allowed) == []
    assert every(modules.foreign_imports, under("tracker.measures.cohort"), allowed=(*allowed, "pandas")) == []
    assert every(modules.top_level_imports, under("tracker.measures"), of="pandas") == []


def test_charts_need_only_measures_and_plotly():
    allowed = ("numpy", "plotly", "tracker.measures", "tracker.charts")

    assert every(modules.foreign_imports, under("tracker.charts"), allowed=allowed) == []


def test_measures_and_charts_never_read_the_clock():
    assert every(modules.clock_reads, under("tracker.measures", "tracker.charts")) == []


def test_no_signals_anywhere():
    assert every(modules.signals, PRODUCT) == []


def test_no_admin_and_no_model_forms():
    assert every(modules.banned_django, PRODUCT) == []


def test_models_override_nothing():
    assert every(modules.overrides, under("tracker.models")) == []


def test_only_actions_write():
    others = [module for module in PRODUCT if not f"{module.name}.".startswith("tracker.actions.")]

    assert every(modules.writes, others, exempt=exemptions.WRITES) == []


def test_queries_begin_with_the_viewer():
    scoped = [module for module in under("tracker.queries") if module.name != "tracker.queries.whole"]

    assert every(contracts.viewerless, scoped) == []


def test_actions_have_one_shape():
    above = under("tracker.web", "tracker.management", "tracker.templatetags")
    used = contracts.entries("tracker.actions", above)
    options = {"used": used, "readers": exemptions.READERS, "exempt": exemptions.OTHER_SHAPE}

    assert every(contracts.misshapen_actions, under("tracker.actions"), **options) == []


def test_measures_state_their_contract():
    assert every(contracts.poor_docstrings, under("tracker.measures")) == []


# Tables


def test_every_row_of_a_pupil_names_its_school():
    assert [
        find
        for model in apps.get_app_config("tracker").get_models(include_auto_created=True)
        for find in schoolless(model)
    ] == []


def schoolless(model: type[models.Model]) -> list[str]:
    """Rows that belong to a pupil, or to such a row, carry a school that is never empty."""
    if not belongs_to_a_pupil(model):
        return []
    school = next((field for field in model._meta.get_fields() if field.name == "school"), None)
    return [] if school is not None and not school.null else [f"{model.__name__} has no school that is never empty"]


def belongs_to_a_pupil(model: type[models.Model], seen: frozenset[object] = frozenset()) -> bool:
    for field in model._meta.get_fields():
        target = field.related_model
        if not (field.many_to_one or field.one_to_one) or field.auto_created or target in seen or target is model:
            continue
        if target._meta.object_name == "Pupil":
            return True
        if not field.null and belongs_to_a_pupil(target, seen | {model}):
            return True
    return False


# Pages


def test_templates_hold_no_style_and_no_script():
    assert each_text(pages.inline_code, texts("templates", ".html", ".svg")) == []


def test_templates_are_translated():
    assert each_text(pages.untranslated, texts("templates", ".html", ".txt")) == []


def test_python_is_translated():
    assert every(modules.untranslated, under("tracker.web", "tracker.actions", "tracker.access")) == []
    assert every(modules.untranslated_choices, PRODUCT) == []


def test_dates_read_alike_on_every_page():
    assert each_text(pages.other_dates, texts("templates", ".html", ".svg", ".txt")) == []


def test_colours_stand_in_the_tokens_only():
    sheets = {name: text for name, text in texts("static", ".css").items() if name != "static/css/tokens.css"}
    code = {name: text for name, text in texts("tracker", ".py").items() if name != "tracker/charts/palette.py"}
    others = texts("templates", ".html", ".svg", ".txt") | texts("static", ".js") | code

    assert each_text(pages.raw_colours_in_css, sheets) == []
    assert each_text(pages.raw_colours_in_text, others) == []


def test_style_sheets_know_no_left_and_right():
    assert each_text(pages.physical_properties, texts("static", ".css")) == []


def test_page_sheets_are_small():
    sizes = {path.name: path.stat().st_size for path in (ROOT / "static/css/pages").glob("*.css")}

    assert {name: size for name, size in sizes.items() if size >= 3_000} == {}


# One name, five places


def own_urls(patterns: Iterable[URLPattern | URLResolver]) -> Iterable[URLPattern]:
    """The addresses whose views are ours; sign-in pages of allauth have names and templates of their own."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from own_urls(pattern.url_patterns)
        elif pattern.callback.__module__.startswith("tracker."):
            yield pattern


def places(name: str, callback: Callable[..., object]) -> list[str]:
    """The places where a page with this URL name ought to be and is not."""
    area, _, page = name.partition("-")
    function = page.replace("-", "_")
    finds = []
    # Where a name is taken, as print is by Python, the view is called print_page.
    views = {(f"tracker.web.views.{area}", name) for name in (function, f"{function}_page")}
    if (callback.__module__, callback.__name__) not in views:
        finds.append(f"{name}: the view is {callback.__module__}.{callback.__name__}, not {area}.{function}")
    needed = (
        [] if name in exemptions.URLS else [f"templates/{area}/{function}.html", f"tests/web/test_{area}_{function}.py"]
    )
    return finds + [f"{name}: there is no {path}" for path in needed if not (ROOT / path).is_file()]


def test_one_name_stands_in_five_places():
    urls = list(own_urls(get_resolver().url_patterns))

    assert [pattern for pattern in urls if not pattern.name] == []
    assert [find for pattern in urls for find in places(pattern.name, pattern.callback)] == []


def test_page_sheets_are_called_after_their_page():
    names = {pattern.name for pattern in own_urls(get_resolver().url_patterns)}

    assert {path.stem for path in (ROOT / "static/css/pages").glob("*.css")} - names == set()


def test_exemptions_name_what_is_there():
    names = {pattern.name for pattern in own_urls(get_resolver().url_patterns)}

    defined = {f"{module.name}.{name}" for module in PRODUCT for name, _ in modules.functions(module.tree)}
    functions = {*exemptions.READERS, *exemptions.OTHER_SHAPE, *exemptions.POSITIONAL}

    assert set(exemptions.URLS) - names == set()
    assert functions - defined == set()
    assert {module for module, _ in exemptions.WRITES} - {module.name for module in PRODUCT} == set()


# What never stands in the project


def test_no_path_of_one_computer():
    own = [str(path) for path in (ROOT, Path.home()) if len(path.parts) > 2]

    assert each_text(pages.machine_paths, readable(), own=own) == []


def test_no_host_of_a_package_registry():
    assert each_text(pages.registry_hosts, readable()) == []


@pytest.mark.parametrize(
    "name", ["setup.cfg", "tox.ini", "pytest.ini", "mypy.ini", ".ruff.toml", "setup.py", "ruff.toml"]
)
def test_tools_are_configured_in_one_place(name):
    assert [path for path in tracked() if re.search(rf"(^|/){re.escape(name)}$", path)] == []
