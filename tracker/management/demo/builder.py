"""Builds the invented school in an empty database, all of it or nothing."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date

from django.db import transaction

from tracker.management.demo import fixtures
from tracker.management.demo.calendar import Calendar
from tracker.management.demo.fixtures import Cast
from tracker.management.demo.model import SEED, school_scores
from tracker.management.demo.set_up import set_up
from tracker.management.demo.site import Say, Site
from tracker.management.demo.weeks import enter_last_weeks, load_past


@transaction.atomic
def build(
    *, today: date, say: Say, weeks: int = 26, references: Collection[str] | None = None, seed: int = SEED
) -> Site:
    """`references` limits whose scores are written; the roster is always the whole one."""
    calendar = Calendar(today, weeks)
    cast = fixtures.cast()
    site = set_up(calendar, cast)
    say(f"{len(site.pupils())} pupils in {len(site.classes())} classes, {len(site.users)} people who sign in")
    scores = school_scores(_chosen(cast, references).members, calendar, seed=seed)
    load_past(site, scores, say=say)
    enter_last_weeks(site, scores, say=say)
    return site


def _chosen(cast: Cast, references: Collection[str] | None) -> Cast:
    if references is None:
        return cast
    return replace(cast, members=tuple(one for one in cast.members if one.reference in references))
