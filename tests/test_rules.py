"""Each house rule bites: a text that breaks it is found, and its sound twin is not."""

from textwrap import dedent

import pytest
from django.db import models

from tests.rules import contracts, modules, pages
from tests.rules.modules import Module
from tests.test_architecture import belongs_to_a_pupil, schoolless
from tracker.models import Pupil, School


def module(text: str, name: str = "tracker.one") -> Module:
    return Module(name, dedent(text))


MODULE_RULES = [
    (lambda m: modules.long_module(m, limit=2), "a = 1\n\nb = 2\nc = 3\n", "a = 1\n\n\nb = 2\n"),
    (lambda m: modules.long_functions(m, limit=3), "def f():\n a\n b\n c\n", 'def f():\n """One\n two\n """\n a\n b\n'),
    (
        lambda m: modules.long_functions(m, limit=2),
        "class A:\n def f(self):\n  a\n  b\n",
        "class A:\n def f(self):\n  a\n",
    ),
    (lambda m: modules.long_views(m, limit=2), "def week(request):\n a\n b\n", "def week(other):\n a\n b\n"),
    (lambda m: modules.many_positional(m, limit=3), "def f(a, b, c, d): pass", "def f(a, b, c, *, d): pass"),
    (
        lambda m: modules.many_positional(m, limit=3),
        "class A:\n def f(self, a, b, c, d): 0",
        "class A:\n def f(self, a, b, c): 0",
    ),
    (modules.missing_docstring, "a = 1\n", '"""What it is for."""\n'),
    (
        lambda m: modules.foreign_imports(m, allowed=["numpy"]),
        "import scipy.stats",
        "import math\nimport numpy.random\n",
    ),
    (
        lambda m: modules.foreign_imports(m, allowed=["numpy"]),
        "def f():\n from django.db import models\n",
        "from numpy import nan",
    ),
    (lambda m: modules.top_level_imports(m, of="pandas"), "import pandas as pd", "def f():\n import pandas as pd\n"),
    (modules.clock_reads, "from datetime import date\non = date.today()", "on = viewer.today\nnow = clock.now()\n"),
    (modules.clock_reads, "import datetime\nat = datetime.datetime.now()", "weeks = days.time()\n"),
    (modules.signals, "from django.db.models.signals import post_save", "from django.db.models import F"),
    (modules.signals, "import django.dispatch", "import django.db"),
    (modules.banned_django, "class F(forms.ModelForm): pass", "class F(forms.Form): pass"),
    (modules.banned_django, "from django.contrib import admin", "from django.contrib import messages"),
    (modules.overrides, "class A:\n def save(self): pass", "class A:\n def __str__(self): pass\ndef save(): pass"),
    (modules.untranslated, "forms.CharField(label='Name')", "forms.CharField(label=_('Name'))"),
    (
        modules.untranslated,
        "raise Refused(f'{n} is too many')",
        "raise Refused(gettext('%(n)s is too many') % {'n': n})",
    ),
    (modules.untranslated, "messages.success(request, 'Saved.')", "messages.success(request, gettext('Saved.'))"),
    (
        modules.untranslated_choices,
        "class A(TextChoices):\n B = 'b', 'bee'",
        "class A(TextChoices):\n B = 'b', _('bee')\n C = 'c'",
    ),
    (
        contracts.viewerless,
        "def rows(on): return Pupil.objects.all()",
        "def rows(viewer): return Pupil.objects.all()\ndef _inner(on): Pupil.objects\ndef tidy(name): return name",
    ),
]


@pytest.mark.parametrize(("rule", "broken", "sound"), MODULE_RULES)
def test_a_broken_module_is_found_and_a_sound_one_is_not(rule, broken, sound):
    assert len(rule(module(broken))) == 1
    assert rule(module(sound)) == []


@pytest.mark.parametrize(
    "call",
    [
        "pupil.save()",
        "Pupil.objects.create(name='A')",
        "rows.update(status='due')",
        "Pupil.objects.filter(id=1).delete()",
        "Attempt.objects.bulk_create(rows)",
        "Attempt.objects.bulk_update(rows, ['wrong'])",
        "Skill.objects.get_or_create(key='a')",
        "Skill.objects.update_or_create(key='a', defaults={})",
        "check.attempts.update(**values)",
    ],
)
def test_a_write_is_found(call):
    assert len(modules.writes(module(call))) == 1


@pytest.mark.parametrize("call", ["kwargs.update(max_length=12)", "seen.update(other)", "rows.filter(status='due')"])
def test_what_writes_no_row_is_not_found(call):
    assert modules.writes(module(call)) == []


@pytest.mark.parametrize(
    "name", ["utils", "helpers", "common", "misc", "core", "base", "services", "managers", "signals"]
)
def test_a_junk_drawer_is_found_as_module_and_as_package(name):
    assert len(modules.forbidden_name(module("", f"tracker.{name}"))) == 1
    assert len(modules.forbidden_name(module("", f"tracker.{name}.inner"))) == 1
    assert modules.forbidden_name(module("", f"tracker.{name}board")) == []


SOUND_ACTION = """
@transaction.atomic
def see_flag(*, flag_id: str, by: Viewer, on: date) -> None:
    flag.save()
"""


@pytest.mark.parametrize(
    ("old", "new"),
    [("*, ", ""), ("by: Viewer, ", ""), (", on: date", ""), ("@transaction.atomic\n", ""), ("*, ", "*ids, ")],
)
def test_a_misshapen_action_is_found(old, new):
    used = ["tracker.one.see_flag"]
    broken = module(SOUND_ACTION.replace(old, new))

    assert contracts.misshapen_actions(module(SOUND_ACTION), used=used) == []
    assert len(contracts.misshapen_actions(broken, used=used)) >= 1
    assert contracts.misshapen_actions(broken, used=["tracker.one.other"]) == []


def test_an_action_is_exempt_by_its_own_name_only():
    used = ["tracker.one.see_flag"]
    broken = module(SOUND_ACTION.replace("@transaction.atomic\n", ""))

    assert contracts.misshapen_actions(broken, used=used, readers=used) == []
    assert contracts.misshapen_actions(broken, used=used, exempt=used) == []
    assert (
        len(contracts.misshapen_actions(broken, used=used, readers=["tracker.one.other"], exempt=["tracker.two"])) == 1
    )


def test_an_action_is_known_by_who_uses_it():
    page = module("""
        from tracker.actions import scores, checks as check_actions
        from tracker.actions.flags import see_flag as seen
        from tracker.queries import flags
        scores.save_row(); check_actions.close_check(); flags.open_flags()
    """)

    assert contracts.entries("tracker.actions", [page]) == {
        "tracker.actions.scores",
        "tracker.actions.scores.save_row",
        "tracker.actions.checks",
        "tracker.actions.checks.close_check",
        "tracker.actions.flags.see_flag",
    }


def test_a_call_that_only_looks_like_a_write_is_exempt_in_its_module_only():
    saving = module("session.save()\npupil.save()")

    assert len(modules.writes(saving, exempt=[("tracker.one", "session.save")])) == 1
    assert len(modules.writes(saving, exempt=[("tracker.two", "session.save")])) == 2


SOUND_MEASURE = '''
def rate(digits: int, seconds: float, *, rules: Rules) -> float:
    """Digits a minute.

    Parameters
    ----------
    digits, wrong : int
        Written. [digits]
    seconds : float
        Time taken. [s]
    rules
        The settings.

    Returns
    -------
    float
        The rate. [1/min]

    Raises
    ------
    ValueError
        Without time.

    Source
    ------
    Own choice.

    Examples
    --------
    >>> rate(26, 120.0, rules=Rules())
    13.0
    """
'''


def test_a_sound_measure_is_not_found():
    assert contracts.poor_docstrings(module(SOUND_MEASURE)) == []


@pytest.mark.parametrize(
    ("old", "new", "find"),
    [
        ("Returns\n", "Gives\n", "has no section Returns"),
        ("Raises\n", "Fails\n", "has no section Raises"),
        ("Source\n", "Sources\n", "has no section Source"),
        (">>> rate", "rate", "has no doctest in Examples"),
        (" [s]", "", "gives no unit for seconds"),
        (" [digits]", "", "gives no unit for digits"),
        ("    rules\n", "    other\n", "does not describe rules"),
    ],
)
def test_a_poor_docstring_is_found(old, new, find):
    assert f"tracker.one.rate {find}" in contracts.poor_docstrings(module(SOUND_MEASURE.replace(old, new)))


def test_a_class_needs_source_and_example_unless_it_is_an_error():
    assert len(contracts.poor_docstrings(module("class Mark: 'One.'"))) == 3
    assert contracts.poor_docstrings(module("class BadMark(ValueError): 'One.'\nclass _Inner: pass")) == []


PAGE_RULES = [
    (pages.inline_code, '<p style="margin: 0">', "<p class='style'>"),
    (pages.inline_code, "<style>p {}</style>", "{# <style> #}"),
    (pages.inline_code, "<script>go()</script>", "<script defer src='{% static \"js/grid.js\" %}'></script>"),
    (pages.inline_code, '<button onclick="go()">', '<button data-on="1">'),
    (pages.inline_code, '<a href="javascript:go()">', '<a href="/javascript/">'),
    (pages.raw_colours_in_css, "a { color: #1b2a4a; }", "#cab a { color: var(--ink); }"),
    (
        pages.raw_colours_in_css,
        "a { color: rgb(1 2 3) }",
        "a { color: color-mix(in srgb, var(--ink) 20%, transparent) }",
    ),
    (
        pages.raw_colours_in_css,
        "a { border: 1px solid red; }",
        "a { white-space: nowrap; border: 1px solid currentColor; }",
    ),
    (pages.raw_colours_in_css, "a { background: lightgray; }", "a { background: var(--gray); } /* color: red; */"),
    (pages.raw_colours_in_text, "const ink = '#1b2a4a';", "open('#main'); <a href='#add'>&#123; rgba(0,0,0,0)"),
    (pages.physical_properties, "a { margin-left: 1rem; }", "a { margin-inline-start: 1rem; }"),
    (pages.physical_properties, "a { text-align: right }", "a { text-align: end; /* right: 0; */ }"),
    (pages.physical_properties, "a { left: 0; }", "a { inset-inline-start: 0; top: 0; }"),
    (pages.physical_properties, "a { border-top-left-radius: 1px; }", ".left { border-start-start-radius: 1px; }"),
    (pages.other_dates, "{{ check.on|date }}", '{{ check.on|date:"l, j F" }} {{ check.on|date:"j F Y" }}'),
    (pages.other_dates, '{{ check.on|date:"N j, Y" }}', "{{ check.on|date:'j F' }} {{ check.updated }}"),
    (pages.other_dates, '{{ at|date:"DATETIME_FORMAT" }}', '{{ at|date:"j F Y, H:i" }}'),
    (pages.untranslated, "<p>Close the check</p>", "<p>{% translate 'Close the check' %}: {{ n }} Doublerule</p>"),
    (
        pages.untranslated,
        "<p>{% if a %}Closed{% endif %}</p>",
        "{% blocktranslate %}<b>Closed</b>{% endblocktranslate %}",
    ),
    (pages.untranslated, "<img alt='A sum'>", "<img alt=\"{% translate 'A sum' %}\">"),
    (pages.untranslated, "<input type='submit' value='Save'>", "<input type='hidden' value='save'>"),
    (pages.untranslated, "<p aria-label='Left to do'>", "<script src='a.js'></script><!-- Left to do -->"),
    (pages.registry_hosts, "see https://py" + "pi.org/x", "see happypi.organ"),
    (lambda t: pages.machine_paths(t, own=["/one/own"]), "cd /one/own", "cd /one/other"),
    (lambda t: pages.machine_paths(t, own=[]), "open /ho" + "me/me/file", "GET https://school.example/home/me"),
]


@pytest.mark.parametrize(("rule", "broken", "sound"), PAGE_RULES)
def test_a_broken_page_is_found_and_a_sound_one_is_not(rule, broken, sound):
    assert len(rule(broken)) == 1
    assert rule(sound) == []


def test_a_row_of_a_pupil_without_a_school_is_found():
    class Sticker(models.Model):
        pupil = models.ForeignKey(Pupil, models.CASCADE)

        class Meta:
            app_label = "never_installed"

        def __str__(self) -> str:
            return ""

    class Placed(models.Model):
        sticker = models.ForeignKey(Sticker, models.CASCADE)
        school = models.ForeignKey(School, models.CASCADE)

        class Meta:
            app_label = "never_installed"

        def __str__(self) -> str:
            return ""

    assert schoolless(Sticker) == ["Sticker has no school that is never empty"]
    assert belongs_to_a_pupil(Placed)
    assert schoolless(Placed) == []
    assert not belongs_to_a_pupil(School)
