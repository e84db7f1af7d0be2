"""The page about one child: who may open it, what it shows, that opening it is kept, and what it costs."""

from datetime import timedelta

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW, TODAY
from tests.progress.settled import settle
from tracker.measures import ladder
from tracker.models import AccessRecord, GroupPlace, ProviderAssignment, PupilGroup

pytestmark = pytest.mark.django_db

QUERIES = 18


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def teacher(school):
    return builders.make_member(school, "teacher", "Ines Okafor")


@pytest.fixture
def child(school, teacher):
    return builders.make_pupil(builders.make_class(school, teacher=teacher))


def open_page(user, child, query="", **headers):
    return builders.sign_in(Client(), user).get(f"/pupils/{child.public_id}/{query}", **headers)


def told(answer):
    """The page's own part, without head, script data and footer."""
    return answer.content.decode().split("<main")[1].split("</main>")[0]


def test_progress_tells_the_story_of_one_child(child, teacher):
    builders.make_history(child, [(30 + n, 1) for n in range(6)])
    builders.make_history(child, [(60, 0)] * 2, key="add-tens")
    builders.make_flag(child, "add-tens", "no-recent-check", evidence={"last_on": "2026-10-09", "weeks": 4})
    settle(child)

    answer = open_page(teacher, child)
    page = told(answer)

    assert answer.status_code == 200
    assert '<bdi class="name">Anouk Verhaegen</bdi>' in page
    assert "Grade 3, in this class since 7 September" in page
    assert "Last check on 9 October, 4 school weeks ago." in page
    assert "A reason to look, not a diagnosis. Over all skills of the class, at most about 1 flag a year" in page
    assert "Rising by 0.5 a week (between 0.5 and 0.5)." in page
    assert "(common practice, no source, provisional)" in page
    assert page.count('<figure class="chart"') == 1
    assert f'href="/classes/{child.enrolments.get().class_group.public_id}/checks/' in page
    assert "30 skills without a record" in page
    assert "What comes next" in page


def test_progress_of_a_child_without_a_check_says_so(child, teacher):
    page = told(open_page(teacher, child))

    assert "No check yet" in page
    assert "Nothing stands out." in page
    assert "by chance" not in page
    assert "32 skills without a record" in page
    assert "first check: nothing on record yet" in page
    assert '<figure class="chart"' not in page


def people(school, child):
    """Everybody who may open the page, and everybody who may not."""
    heron = child.enrolments.get().class_group
    group = PupilGroup.objects.create(
        school=school, name="Tuesday", holder=builders.make_member(school, "assistant"), starts=builders.YEAR_STARTS
    )
    GroupPlace.objects.create(school=school, group=group, pupil=child, starts=TODAY)
    provider = builders.make_member(school, "provider")
    ProviderAssignment.objects.create(school=school, user=provider, pupil=child, starts=TODAY)
    parent, cover = builders.make_member(school, "parent"), builders.make_member(school, "cover")
    builders.link_guardian(parent, child)
    builders.give_class(cover, heron, cover=True)
    gone = builders.make_member(school, "teacher")
    builders.give_class(gone, heron, ends=TODAY - timedelta(days=1))
    other_school = builders.make_school("Hill School")
    may = [group.holder, provider, *(builders.make_member(school, role) for role in ("coordinator", "deputy", "head"))]
    may_not = [
        *(builders.make_member(school, role) for role in ("teacher", "assistant", "provider", "office")),
        *(parent, cover, gone, builders.make_member(other_school, "coordinator"), builders.make_user()),
    ]
    return may, may_not


def test_progress_is_open_to_those_who_work_with_the_child_and_to_nobody_else(school, child):
    may, may_not = people(school, child)

    assert [open_page(user, child).status_code for user in may] == [200] * 5
    assert [open_page(user, child).status_code for user in may_not] == [404] * 9


def test_progress_ends_with_the_class(school, child, teacher):
    otter = builders.make_class(school, "Otter")
    child.enrolments.update(class_group=otter)

    assert open_page(teacher, child).status_code == 404


@pytest.mark.parametrize("pupil_id", ["000000000000", "a", "1", "x" * 60])
def test_progress_of_a_bad_id_is_not_found(teacher, child, pupil_id):
    assert builders.sign_in(Client(), teacher).get(f"/pupils/{pupil_id}/").status_code == 404


def test_progress_of_an_unknown_skill_is_not_found(teacher, child):
    assert open_page(teacher, child, "?skill=juggling").status_code == 404


def test_progress_of_a_chosen_skill_shows_that_one(teacher, child):
    builders.make_history(child, [(60, 0)] * 3, key="add-tens", until=TODAY - timedelta(weeks=4))
    builders.make_history(child, [(30, 1)])
    settle(child)

    assert open_page(teacher, child).context["shown"].story.key == "sub-2d-regroup"
    assert open_page(teacher, child, "?skill=add-tens").context["shown"].story.key == "add-tens"


def test_progress_without_the_name_shows_it_nowhere(teacher, child):
    builders.make_history(child, [(30, 1)] * 3)
    builders.make_flag(child)
    settle(child)

    page = open_page(teacher, child, "?names=off").content.decode()

    assert "Verhaegen" not in page
    assert "Anouk" not in page
    assert "<title>This pupil · Doublerule</title>" in page
    assert '?skill=sub-2d-regroup&amp;names=off"' in page
    assert '<input type="hidden" name="names" value="off" data-names-field>' in page


def test_progress_keeps_who_opened_it_once_a_day(teacher, child):
    for _ in range(2):
        open_page(teacher, child)

    assert [(row.user_key, row.pupil_key, row.on) for row in AccessRecord.objects.all()] == [
        (teacher.pk, child.public_id, TODAY)
    ]


def test_progress_that_is_refused_keeps_nothing(school, child):
    open_page(builders.make_member(school, "office"), child)

    assert AccessRecord.objects.count() == 0


def test_progress_lets_the_head_read_but_not_answer_for_the_teacher(school, child, teacher):
    flag = builders.make_flag(child)
    builders.make_history(child, [(30, 1)])
    settle(child)

    assert f"/flags/{flag.public_id}/seen/" in told(open_page(teacher, child))
    page = told(open_page(builders.make_member(school, "head"), child))
    assert "regrouping gap" in page
    assert "/seen/" not in page
    assert "Plan the next check" not in page


def test_progress_gives_an_assistant_no_way_into_the_class(school, child):
    builders.make_history(child, [(30, 1)] * 3)
    settle(child)
    assistant = people(school, child)[0][0]

    page = told(open_page(assistant, child))

    assert '<figure class="chart"' in page
    assert "Heron" in page
    assert "/classes/" not in page
    assert "/week/" not in page


def test_progress_offers_planning_to_the_classes_own_teacher_alone(school, child, teacher):
    both = builders.make_member(school, "teacher")
    builders.join(both, school, "coordinator")

    assert "Plan the next check" in told(open_page(teacher, child))
    assert "Plan the next check" not in told(open_page(both, child))
    builders.give_class(both, child.enrolments.get().class_group)
    assert "Plan the next check" in told(open_page(both, child))


@pytest.mark.parametrize("number", [1, 3, 30])
def test_progress_costs_the_same_for_any_number_of_checks_and_skills(teacher, child, number, django_assert_num_queries):
    for step in ladder.steps()[:number]:
        builders.make_history(child, [(30, 1)], key=step.key)
        builders.make_flag(child, step.key)
    builders.make_history(child, [(30, 1)] * number, until=TODAY - timedelta(weeks=1))
    builders.make_pupils(child.enrolments.get().class_group, number)
    settle(child)
    client = builders.sign_in(Client(), teacher)

    with django_assert_num_queries(QUERIES):
        assert client.get(f"/pupils/{child.public_id}/").status_code == 200


def test_progress_is_read_only(teacher, child):
    assert builders.sign_in(Client(), teacher).post(f"/pupils/{child.public_id}/").status_code == 405


def test_progress_asks_strangers_to_sign_in(child):
    answer = Client().get(f"/pupils/{child.public_id}/")

    assert (answer.status_code, answer["Location"]) == (302, f"/account/sign-in/?next=/pupils/{child.public_id}/")
