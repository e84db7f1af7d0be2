"""Sets up the invented school: year, people, classes, pupils, all through the actions an office would use."""

from tracker.actions import groups, guardians, people, roles, rosters, years
from tracker.actions.imports import loading
from tracker.actions.schools import start_school
from tracker.management.demo import fixtures
from tracker.management.demo.calendar import Calendar
from tracker.management.demo.fixtures import Cast, Newcomer, Person
from tracker.management.demo.model import Member
from tracker.management.demo.natures import KINDS
from tracker.management.demo.site import Site
from tracker.models import Pupil

# One phrase for every sign-in of the demo, which only this computer can reach.
SIGN_IN_WITH = "four copper kettles"
OFFICE, COVER = "office", "cover"


def set_up(calendar: Calendar, cast: Cast) -> Site:
    site = _begin(calendar, cast)
    _calendar(site)
    _people(site)
    _roster(site)
    _teaching(site)
    _moves(site)
    _newcomers(site)
    _details(site)
    _families(site)
    _extra_teaching(site)
    return site


def _begin(calendar: Calendar, cast: Cast) -> Site:
    [office] = cast.with_role(OFFICE)
    started = start_school(
        name=fixtures.SCHOOL,
        year_name=calendar.year_name,
        year_starts=calendar.starts,
        year_ends=calendar.ends,
        office_name=office.name,
        office_username=office.username,
        password=SIGN_IN_WITH,
        is_demo=True,
        on=calendar.today,
    )
    return Site(started.school, started.year.public_id, calendar, cast, {office.username: started.office})


def _calendar(site: Site) -> None:
    office, today = site.viewer(OFFICE, site.calendar.today), site.calendar.today
    for term in site.calendar.terms():
        years.add_term(year_id=site.year_id, **vars(term), by=office, on=today)
    for pause in site.calendar.breaks():
        years.add_break(year_id=site.year_id, **vars(pause), by=office, on=today)


def _people(site: Site) -> None:
    office, today = site.viewer(OFFICE, site.calendar.today), site.calendar.today
    for person in site.cast.people:
        if person.role == OFFICE:
            continue
        site.users[person.username] = people.add_person(
            username=person.username,
            name=person.name,
            role=person.role,
            starts=today if person.role == COVER else site.calendar.starts,
            language=person.language,
            password=SIGN_IN_WITH,
            by=office,
            on=today,
        )


def _roster(site: Site) -> None:
    loading.load(
        kind="roster",
        content=fixtures.content(fixtures.ROSTER),
        file_name=fixtures.ROSTER,
        by=site.viewer(OFFICE, site.calendar.today),
        on=site.calendar.today,
    )


def _teaching(site: Site) -> None:
    office, today, groups = site.viewer(OFFICE, site.calendar.today), site.calendar.today, site.classes()
    for person in site.cast.with_role("teacher"):
        roles.give_class(
            user_id=site.users[person.username].public_id,
            class_id=groups[person.class_name].public_id,
            starts=site.calendar.starts,
            by=office,
            on=today,
        )
    for person in site.cast.with_role(COVER):
        roles.give_cover(
            user_id=site.users[person.username].public_id,
            class_id=groups[person.class_name].public_id,
            day=today,
            by=office,
            on=today,
        )


def _moves(site: Site) -> None:
    groups, pupils = site.classes(), site.pupils()
    for member in site.cast.members:
        for week, class_name in member.classes[1:]:
            if week <= site.calendar.weeks:
                day = site.calendar.week_began(week)
                rosters.move_pupil(
                    pupil_id=pupils[member.reference].public_id,
                    class_id=groups[class_name].public_id,
                    grade=member.grade,
                    starts=day,
                    by=site.viewer(OFFICE, site.calendar.today),
                    on=site.calendar.today,
                )


def _newcomers(site: Site) -> None:
    groups, office = site.classes(), site.viewer(OFFICE, site.calendar.today)
    for one in site.cast.newcomers:
        if one.week <= site.calendar.weeks:
            rosters.add_pupil(
                details=_newcomer_details(one),
                class_id=groups[one.class_name].public_id,
                grade=one.grade,
                starts=site.calendar.week_began(one.week),
                by=office,
                on=site.calendar.today,
            )


def _newcomer_details(one: Newcomer) -> rosters.PupilDetails:
    return rosters.PupilDetails(school_ref=one.reference, given_name=one.given_name, family_name=one.family_name)


def _details(site: Site) -> None:
    """What no roster file says: home languages, and who sits no timed checks."""
    office, pupils = site.viewer(OFFICE, site.calendar.today), site.pupils()
    for member in site.cast.members:
        pupil = pupils.get(member.reference)
        language = site.cast.languages.get(member.reference, "")
        if pupil and (language or not KINDS[member.kind].timed):
            rosters.change_pupil(
                pupil_id=pupil.public_id,
                details=_details_of(pupil, member, language),
                by=office,
                on=site.calendar.today,
            )


def _details_of(pupil: Pupil, member: Member, language: str) -> rosters.PupilDetails:
    return rosters.PupilDetails(
        school_ref=pupil.school_ref,
        given_name=pupil.given_name,
        family_name=pupil.family_name,
        no_timed_checks=not KINDS[member.kind].timed,
        home_languages=language,
    )


def _families(site: Site) -> None:
    pupils = site.pupils()
    for person in site.cast.with_role("parent"):
        for reference in person.pupils:
            _link(site, person, pupils[reference])


def _link(site: Site, person: Person, pupil: Pupil) -> None:
    guardians.link_guardian(
        user_id=site.users[person.username].public_id,
        pupil_id=pupil.public_id,
        starts=site.calendar.starts,
        language=person.language,
        by=site.viewer(OFFICE, site.calendar.today),
        on=site.calendar.today,
    )


def _extra_teaching(site: Site) -> None:
    """The assistant and the provider get the pupils that people.csv names for them."""
    by, today, pupils = site.viewer(OFFICE, site.calendar.today), site.calendar.today, site.pupils()
    for person in site.cast.with_role("assistant"):
        groups.add_group(
            name=f"{person.class_name}, small group",
            holder_id=site.users[person.username].public_id,
            pupil_ids=[pupils[reference].public_id for reference in person.pupils],
            starts=site.calendar.starts,
            by=by,
            on=today,
        )
    for person in site.cast.with_role("provider"):
        for reference in person.pupils:
            groups.assign_provider(
                user_id=site.users[person.username].public_id,
                pupil_id=pupils[reference].public_id,
                starts=site.calendar.starts,
                by=by,
                on=today,
            )
