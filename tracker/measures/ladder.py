"""The skill ladder: where a step stands, what rests on it, and what a pupil should sit next."""

from collections.abc import Collection, Mapping

from tracker.measures import gettext_noop as _
from tracker.measures.ladder_steps import STEPS, SkillStep

STAGES = ("not-started", "few", "learning", "quicker", "secure", "kept")
DONE = frozenset({"secure", "kept"})
DEFAULT_WORDS = {"regrouping": _("regrouping"), "subtract": _("subtract"), "grade": _("grade")}
_BY_KEY = {one.key: one for one in STEPS}


def steps(kind: str | None = None) -> tuple[SkillStep, ...]:
    """All steps of the ladder in order.

    Parameters
    ----------
    kind : str or None
        Only steps of this kind: 'skill', 'year' or 'copying'.

    Returns
    -------
    tuple of SkillStep
        In order.

    Raises
    ------
    ValueError
        If there is no such kind.

    Source
    ------
    [own]

    Examples
    --------
    >>> steps()[0].key
    'add-facts-10'
    >>> len(steps("year"))
    5
    """
    if kind not in (None, "skill", "year", "copying"):
        raise ValueError(f"kind must be skill, year or copying, not {kind!r}")
    return tuple(one for one in STEPS if kind in (None, one.kind))


def step(key: str) -> SkillStep:
    """Look up the step with this key.

    Parameters
    ----------
    key : str
        A key of the ladder.

    Returns
    -------
    SkillStep
        The step.

    Raises
    ------
    ValueError
        If the ladder has no such key.

    Source
    ------
    [own]

    Examples
    --------
    >>> step("mixed-2d").default_mark_rate
    25
    """
    if key not in _BY_KEY:
        raise ValueError(f"the ladder has no skill {key!r}")
    return _BY_KEY[key]


def fill(text: str, words: Mapping[str, str] = DEFAULT_WORDS) -> str:
    """Put the school's own words into a label, and a capital at its beginning.

    Parameters
    ----------
    text : str
        A label or short label, already translated.
    words : mapping of str to str
        The school's words for 'regrouping', 'subtract' and 'grade'.

    Returns
    -------
    str
        What is shown.

    Raises
    ------
    ValueError
        If a word that the label needs is missing.

    Source
    ------
    [own]

    Examples
    --------
    >>> fill(step("sub-2d-regroup").label)
    'Subtract two-digit numbers, with regrouping'
    >>> fill("%(subtract)s tens", {"subtract": "take away"})
    'Take away tens'
    """
    try:
        filled = text % words
    except KeyError as missing:
        raise ValueError(f"the label {text!r} needs a word for {missing}") from None
    return filled[:1].upper() + filled[1:]


def next_steps(secure_keys: Collection[str]) -> tuple[str, ...]:
    """Skills that may come next: not yet secure, while all that they rest on is.

    Parameters
    ----------
    secure_keys : collection of str
        Keys of the skills that are secure or kept.

    Returns
    -------
    tuple of str
        Keys in ladder order; year and copying sheets are never among them.

    Raises
    ------
    ValueError
        If the ladder lacks one of the keys.

    Source
    ------
    [own]

    Examples
    --------
    >>> next_steps({"add-facts-10"})
    ('sub-facts-10', 'add-facts-20', 'add-tens')
    """
    secure = {step(key).key for key in secure_keys}
    open_steps = (one for one in steps("skill") if one.key not in secure)
    return tuple(one.key for one in open_steps if secure.issuperset(one.prerequisites))


def propose(stages: Mapping[str, str], *, grade: int, off: Collection[str] = ()) -> str | None:
    """Propose the skill that a pupil should sit next.

    Parameters
    ----------
    stages : mapping of str to str
        Stage code of each skill that is known, by key; what is missing counts as 'not-started'.
    grade : int
        The pupil's grade. [grade]
    off : collection of str
        Keys of skills that the school does not use: never proposed, and nothing waits for them.

    Returns
    -------
    str or None
        A key: the first skill in order that is begun and not secure, if what it rests on is done; else the first one
        not begun whose prerequisites are done; None when the ladder is finished.

    Raises
    ------
    ValueError
        If a key or a stage code is unknown.

    Notes
    -----
    Done means secure or kept. A step without any record is taken as done, too, when the pupil has begun a step that
    builds on it or when it belongs to earlier grades only: records often begin in the middle of the ladder. So with no
    record at all it is the first step of the grade, and beyond the ladder's last grade the first step of that.

    Source
    ------
    [common-practice]

    Examples
    --------
    >>> propose({}, grade=2)
    'add-facts-20'
    >>> propose({"sub-2d-plain": "secure", "sub-2d-regroup": "learning"}, grade=3)
    'sub-2d-regroup'
    """
    _check_stages(stages)
    begun = {key for key, stage in stages.items() if stage != "not-started"}
    done = {key for key, stage in stages.items() if stage in DONE} | _taken_as_done(begun, grade) | set(off)
    ready = next_steps(done)
    return next((key for key in ready if key in begun), ready[0] if ready else None)


def _check_stages(stages: Mapping[str, str]) -> None:
    for key, stage in stages.items():
        step(key)
        if stage not in STAGES:
            raise ValueError(f"the stage of {key} must be one of {', '.join(STAGES)}, not {stage!r}")


def _taken_as_done(begun: set[str], grade: int) -> set[str]:
    last_grade = max(max(one.grades) for one in steps("skill"))
    below = {key for start in begun for key in _beneath(start)}
    earlier = {one.key for one in steps("skill") if max(one.grades) < min(grade, last_grade)}
    return (below | earlier) - begun


def _beneath(key: str) -> set[str]:
    direct = step(key).prerequisites
    return set(direct).union(*(_beneath(one) for one in direct))
