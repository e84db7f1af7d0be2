"""The skill ladder as data: every step, its place, what it rests on and its marks. Frozen: keys are stored."""

from dataclasses import dataclass

from tracker.measures import gettext_noop as _

CODE = "CCSS.MATH.CONTENT."
ADD, SUBTRACT, TIMES, SHARE = ("+",), ("-",), ("x",), ("/",)
PLAIN = _("no %(regrouping)s")
REGROUPED = _("%(regrouping)s")


@dataclass(frozen=True, kw_only=True)
class SkillStep:
    """One step of the ladder.

    Labels hold the words a school may choose as %(regrouping)s, %(subtract)s and %(grade)s: translate first, then fill
    in with ladder.fill.

    Parameters
    ----------
    key : str
        The stored key, never changed.
    label : str
        What people read.
    short_label : tuple of (str, str)
        Two short lines for a narrow table head.
    operations : tuple of str
        The operations of its items.
    order : int
        Place on the ladder, from 1. [place]
    prerequisites : tuple of str
        Keys of the steps it rests on.
    twin : str or None
        Key of the same step without regrouping.
    regroups : bool
        Whether every item needs regrouping.
    standards : tuple of str
        Codes of the Common Core State Standards that it serves.
    default_mark_rate : int or None
        Working mark; common practice, no source, provisional. None: the school sets it, or there is none. [digits/min]
    default_accuracy : float or None
        Working mark; common practice, no source, provisional. [share]
    default_seconds : int
        Usual time of a check; common practice. [s]
    grades : tuple of int
        Grades in which it is usually taught. [grade]
    kind : str
        'skill', 'year' (the mixed year sheet of a grade) or 'copying'.
    fact_skill : str or None
        Key of the fact skill to look at when the pupil is accurate but slow.

    Raises
    ------
    Nothing.

    Source
    ------
    [ccss-2010] [common-practice] [burns-2006]

    Examples
    --------
    >>> from tracker.measures.ladder import step
    >>> step("sub-2d-regroup").twin
    'sub-2d-plain'
    """

    key: str
    label: str
    short_label: tuple[str, str]
    operations: tuple[str, ...]
    order: int
    prerequisites: tuple[str, ...] = ()
    twin: str | None = None
    regroups: bool = False
    standards: tuple[str, ...] = ()
    default_mark_rate: int | None
    default_accuracy: float | None = 0.95
    default_seconds: int
    grades: tuple[int, ...]
    kind: str = "skill"
    fact_skill: str | None = None


# Times: 2 minutes where that leaves room for 60 digits at the mark, else as many minutes as 60 digits take, because the
# error rates of the secure rule hold from there on. Marks: common practice, no source, provisional; year sheets by
# analogy with Burns, VanDerHeyden and Jiban 2006.
# fmt: off
STEPS = (
    SkillStep(
        key="add-facts-10", label=_("Addition facts to 10"), short_label=(_("+ facts"), _("to 10")), operations=ADD,
        order=1, standards=(CODE + "K.OA.A.5", CODE + "1.OA.C.6"), default_mark_rate=40, default_seconds=120,
        grades=(1,),
    ),
    SkillStep(
        key="sub-facts-10", label=_("%(subtract)s within 10"), short_label=(_("− facts"), _("to 10")),
        operations=SUBTRACT, order=2, prerequisites=("add-facts-10",), standards=(CODE + "K.OA.A.5", CODE + "1.OA.C.6"),
        default_mark_rate=40, default_seconds=120, grades=(1,),
    ),
    SkillStep(
        key="add-facts-20", label=_("Addition facts to 20"), short_label=(_("+ facts"), _("to 20")), operations=ADD,
        order=3, prerequisites=("add-facts-10",), standards=(CODE + "1.OA.C.6", CODE + "2.OA.B.2"),
        default_mark_rate=40, default_seconds=120, grades=(1, 2), fact_skill="add-facts-10",
    ),
    SkillStep(
        key="sub-facts-20", label=_("%(subtract)s within 20"), short_label=(_("− facts"), _("to 20")),
        operations=SUBTRACT, order=4, prerequisites=("sub-facts-10", "add-facts-20"),
        standards=(CODE + "1.OA.C.6", CODE + "2.OA.B.2"), default_mark_rate=40, default_seconds=120, grades=(1, 2),
        fact_skill="sub-facts-10",
    ),
    SkillStep(
        key="add-tens", label=_("Add tens"), short_label=(_("+ tens"), _("to 100")), operations=ADD, order=5,
        prerequisites=("add-facts-10",), standards=(CODE + "1.NBT.C.4",), default_mark_rate=30, default_seconds=120,
        grades=(1, 2), fact_skill="add-facts-10",
    ),
    SkillStep(
        key="sub-tens", label=_("%(subtract)s tens"), short_label=(_("− tens"), _("to 100")), operations=SUBTRACT,
        order=6, prerequisites=("sub-facts-10",), standards=(CODE + "1.NBT.C.6",), default_mark_rate=30,
        default_seconds=120, grades=(1, 2), fact_skill="sub-facts-10",
    ),
    SkillStep(
        key="add-2d1d-plain", label=_("Add a one-digit to a two-digit number, no %(regrouping)s"),
        short_label=(_("+ two-digit, one-digit"), PLAIN), operations=ADD, order=7, prerequisites=("add-tens",),
        standards=(CODE + "1.NBT.C.4", CODE + "2.NBT.B.5"), default_mark_rate=30, default_seconds=120, grades=(1, 2),
        fact_skill="add-facts-10",
    ),
    SkillStep(
        key="add-2d1d-regroup", label=_("Add a one-digit to a two-digit number, with %(regrouping)s"),
        short_label=(_("+ two-digit, one-digit"), REGROUPED), operations=ADD, order=8,
        prerequisites=("add-2d1d-plain", "add-facts-20"), twin="add-2d1d-plain", regroups=True,
        standards=(CODE + "1.NBT.C.4", CODE + "2.NBT.B.5"), default_mark_rate=20, default_seconds=180, grades=(1, 2),
        fact_skill="add-facts-20",
    ),
    SkillStep(
        key="sub-2d1d-plain", label=_("%(subtract)s a one-digit from a two-digit number, no %(regrouping)s"),
        short_label=(_("− two-digit, one-digit"), PLAIN), operations=SUBTRACT, order=9, prerequisites=("sub-tens",),
        standards=(CODE + "2.NBT.B.5",), default_mark_rate=30, default_seconds=120, grades=(2,),
        fact_skill="sub-facts-10",
    ),
    SkillStep(
        key="sub-2d1d-regroup", label=_("%(subtract)s a one-digit from a two-digit number, with %(regrouping)s"),
        short_label=(_("− two-digit, one-digit"), REGROUPED), operations=SUBTRACT, order=10,
        prerequisites=("sub-2d1d-plain", "sub-facts-20"), twin="sub-2d1d-plain", regroups=True,
        standards=(CODE + "2.NBT.B.5",), default_mark_rate=20, default_seconds=180, grades=(2,),
        fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="add-2d-plain", label=_("Add two-digit numbers, no %(regrouping)s"), short_label=(_("+ two-digit"), PLAIN),
        operations=ADD, order=11, prerequisites=("add-2d1d-plain",), standards=(CODE + "2.NBT.B.5",),
        default_mark_rate=30, default_seconds=120, grades=(2,), fact_skill="add-facts-10",
    ),
    SkillStep(
        key="add-2d-regroup", label=_("Add two-digit numbers, with %(regrouping)s"),
        short_label=(_("+ two-digit"), REGROUPED), operations=ADD, order=12,
        prerequisites=("add-2d-plain", "add-2d1d-regroup"), twin="add-2d-plain", regroups=True,
        standards=(CODE + "2.NBT.B.5", CODE + "2.NBT.B.9"), default_mark_rate=20, default_seconds=180, grades=(2, 3),
        fact_skill="add-facts-20",
    ),
    SkillStep(
        key="sub-2d-plain", label=_("%(subtract)s two-digit numbers, no %(regrouping)s"),
        short_label=(_("− two-digit"), PLAIN), operations=SUBTRACT, order=13, prerequisites=("sub-2d1d-plain",),
        standards=(CODE + "2.NBT.B.5",), default_mark_rate=30, default_seconds=120, grades=(2,),
        fact_skill="sub-facts-10",
    ),
    SkillStep(
        key="sub-2d-regroup", label=_("%(subtract)s two-digit numbers, with %(regrouping)s"),
        short_label=(_("− two-digit"), REGROUPED), operations=SUBTRACT, order=14,
        prerequisites=("sub-2d-plain", "sub-2d1d-regroup"), twin="sub-2d-plain", regroups=True,
        standards=(CODE + "2.NBT.B.5", CODE + "2.NBT.B.9"), default_mark_rate=20, default_seconds=180, grades=(2, 3),
        fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="mixed-2d", label=_("Add and %(subtract)s two-digit numbers, mixed"),
        short_label=(_("+ and − two-digit"), _("mixed")), operations=ADD + SUBTRACT, order=15,
        prerequisites=("add-2d-regroup", "sub-2d-regroup"), standards=(CODE + "2.NBT.B.5",), default_mark_rate=25,
        default_seconds=180, grades=(2, 3), fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="add-3d-plain", label=_("Add three-digit numbers, no %(regrouping)s"),
        short_label=(_("+ three-digit"), PLAIN), operations=ADD, order=16, prerequisites=("add-2d-plain",),
        standards=(CODE + "2.NBT.B.7", CODE + "3.NBT.A.2"), default_mark_rate=30, default_seconds=120, grades=(2, 3),
        fact_skill="add-facts-10",
    ),
    SkillStep(
        key="add-3d-regroup", label=_("Add three-digit numbers, with %(regrouping)s"),
        short_label=(_("+ three-digit"), REGROUPED), operations=ADD, order=17,
        prerequisites=("add-3d-plain", "add-2d-regroup"), twin="add-3d-plain", regroups=True,
        standards=(CODE + "2.NBT.B.7", CODE + "3.NBT.A.2", CODE + "4.NBT.B.4"), default_mark_rate=20,
        default_seconds=180, grades=(3, 4), fact_skill="add-facts-20",
    ),
    SkillStep(
        key="sub-3d-plain", label=_("%(subtract)s three-digit numbers, no %(regrouping)s"),
        short_label=(_("− three-digit"), PLAIN), operations=SUBTRACT, order=18, prerequisites=("sub-2d-plain",),
        standards=(CODE + "2.NBT.B.7", CODE + "3.NBT.A.2"), default_mark_rate=30, default_seconds=120, grades=(2, 3),
        fact_skill="sub-facts-10",
    ),
    SkillStep(
        key="sub-3d-regroup", label=_("%(subtract)s three-digit numbers, with %(regrouping)s"),
        short_label=(_("− three-digit"), REGROUPED), operations=SUBTRACT, order=19,
        prerequisites=("sub-3d-plain", "sub-2d-regroup"), twin="sub-3d-plain", regroups=True,
        standards=(CODE + "2.NBT.B.7", CODE + "3.NBT.A.2", CODE + "4.NBT.B.4"), default_mark_rate=20,
        default_seconds=180, grades=(3, 4), fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="sub-3d-zeros", label=_("%(subtract)s three-digit numbers, across zeros"),
        short_label=(_("− three-digit"), _("across zeros")), operations=SUBTRACT, order=20,
        prerequisites=("sub-3d-regroup",), twin="sub-3d-plain", regroups=True,
        standards=(CODE + "2.NBT.B.7", CODE + "3.NBT.A.2", CODE + "4.NBT.B.4"), default_mark_rate=16,
        default_seconds=240, grades=(3, 4), fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="missing-20", label=_("Find the missing number, within 20"), short_label=(_("missing number"), _("to 20")),
        operations=ADD + SUBTRACT, order=21, prerequisites=("add-facts-20", "sub-facts-20"),
        standards=(CODE + "1.OA.D.8",), default_mark_rate=20, default_seconds=180, grades=(1, 2),
        fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="missing-100", label=_("Find the missing number, within 100"),
        short_label=(_("missing number"), _("to 100")), operations=ADD + SUBTRACT, order=22,
        prerequisites=("missing-20", "add-2d-regroup", "sub-2d-regroup"), standards=(CODE + "2.NBT.B.5",),
        default_mark_rate=20, default_seconds=180, grades=(2, 3), fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="times-2-5-10", label=_("Times tables of 2, 5 and 10"), short_label=(_("× tables"), _("2, 5, 10")),
        operations=TIMES, order=23, prerequisites=("add-facts-20",), standards=(CODE + "3.OA.C.7",),
        default_mark_rate=40, default_seconds=120, grades=(3,),
    ),
    SkillStep(
        key="times-all", label=_("All times tables"), short_label=(_("× tables"), _("all")), operations=TIMES, order=24,
        prerequisites=("times-2-5-10",), standards=(CODE + "3.OA.C.7",), default_mark_rate=40, default_seconds=120,
        grades=(3, 4), fact_skill="times-2-5-10",
    ),
    SkillStep(
        key="divide-all", label=_("Division facts"), short_label=(_("÷ facts"), _("all")), operations=SHARE, order=25,
        prerequisites=("times-all",), standards=(CODE + "3.OA.C.7",), default_mark_rate=40, default_seconds=120,
        grades=(3, 4), fact_skill="times-all",
    ),
    SkillStep(
        key="times-2d1d", label=_("Multiply a two-digit by a one-digit number"),
        short_label=(_("× two-digit"), _("by one digit")), operations=TIMES, order=26,
        prerequisites=("times-all", "add-2d-regroup"), standards=(CODE + "4.NBT.B.5",), default_mark_rate=20,
        default_seconds=180, grades=(4, 5), fact_skill="times-all",
    ),
    SkillStep(
        key="year-1", label=_("Mixed year sheet, %(grade)s 1"), short_label=(_("year sheet"), _("%(grade)s 1")),
        operations=ADD + SUBTRACT, order=27, standards=(CODE + "1.OA.C.6", CODE + "1.NBT.C.4"), default_mark_rate=None,
        default_seconds=120, grades=(1,), kind="year", fact_skill="add-facts-10",
    ),
    SkillStep(
        key="year-2", label=_("Mixed year sheet, %(grade)s 2"), short_label=(_("year sheet"), _("%(grade)s 2")),
        operations=ADD + SUBTRACT, order=28, standards=(CODE + "2.OA.B.2", CODE + "2.NBT.B.5"), default_mark_rate=31,
        default_seconds=120, grades=(2,), kind="year", fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="year-3", label=_("Mixed year sheet, %(grade)s 3"), short_label=(_("year sheet"), _("%(grade)s 3")),
        operations=ADD + SUBTRACT + TIMES + SHARE, order=29, standards=(CODE + "3.NBT.A.2", CODE + "3.OA.C.7"),
        default_mark_rate=31, default_seconds=120, grades=(3,), kind="year", fact_skill="sub-facts-20",
    ),
    SkillStep(
        key="year-4", label=_("Mixed year sheet, %(grade)s 4"), short_label=(_("year sheet"), _("%(grade)s 4")),
        operations=ADD + SUBTRACT + TIMES + SHARE, order=30, standards=(CODE + "4.NBT.B.4", CODE + "4.NBT.B.5"),
        default_mark_rate=49, default_seconds=240, grades=(4,), kind="year", fact_skill="times-all",
    ),
    SkillStep(
        key="year-5", label=_("Mixed year sheet, %(grade)s 5"), short_label=(_("year sheet"), _("%(grade)s 5")),
        operations=ADD + SUBTRACT + TIMES + SHARE, order=31, standards=(CODE + "4.NBT.B.4", CODE + "5.NBT.B.5"),
        default_mark_rate=49, default_seconds=240, grades=(5,), kind="year", fact_skill="times-all",
    ),
    SkillStep(
        key="copying", label=_("Copy digits"), short_label=(_("copy"), _("digits")), operations=(), order=32,
        default_mark_rate=None, default_accuracy=None, default_seconds=60, grades=(1, 2, 3, 4, 5), kind="copying",
    ),
)
# fmt: on
