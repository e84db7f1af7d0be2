"""In which order the invented school's classes take the skills of the ladder."""

ROUTES: dict[int, tuple[str, ...]] = {
    2: ("add-2d1d-plain", "add-2d1d-regroup", "sub-2d1d-plain", "sub-2d1d-regroup", "add-2d-plain", "add-2d-regroup",
        "sub-2d-plain", "sub-2d-regroup", "mixed-2d"),
    3: ("sub-2d-plain", "add-2d-regroup", "sub-2d-regroup", "mixed-2d", "add-3d-regroup", "sub-3d-plain",
        "sub-3d-regroup", "sub-3d-zeros", "times-2-5-10", "times-all"),
    4: ("sub-3d-plain", "sub-3d-regroup", "sub-3d-zeros", "times-all", "divide-all", "times-2d1d"),
}  # fmt: skip
# What the first weeks look back at.
FACTS: dict[int, tuple[str, ...]] = {
    2: ("add-facts-20", "sub-facts-20"), 3: ("sub-facts-20",), 4: ("times-2-5-10",),
}  # fmt: skip
# Where a pupil who works two grades below begins.
BELOW: dict[int, tuple[str, ...]] = {
    2: ("add-facts-10", "sub-facts-10", "add-facts-20"),
    3: ("add-facts-10", "sub-facts-10", "add-facts-20", "sub-facts-20", "add-2d1d-plain"),
    4: ("sub-facts-20", "add-2d1d-regroup", "sub-2d1d-plain", "sub-2d1d-regroup", "add-2d-plain"),
}  # fmt: skip
# What a pupil does who is stuck on regrouping: all is well up to the twin, and then it is not.
STUCK: dict[int, tuple[str, ...]] = {
    2: ("add-2d1d-plain", "sub-2d1d-plain", "sub-2d1d-regroup"),
    3: ("add-2d-plain", "sub-2d-plain", "sub-2d-regroup"),
    4: ("add-3d-plain", "sub-3d-plain", "sub-3d-regroup"),
}
# A class takes up several places of its route at once, from one up to but not with another, so that it is soon on
# four to six skills.
FIRST_PLACES = {2: (1, 5), 3: (0, 3), 4: (0, 3)}
LOOK_BACK_WEEKS = 3
COPYING_WEEK = 2
YEAR_WEEKS = frozenset({4, 9, 14, 19, 24})
TWIN_EVERY = 4
NEW_FOR = 3
TEACHER_MOVES_ON_AFTER = 13


def year_sheet(grade: int) -> str:
    return f"year-{grade}"
