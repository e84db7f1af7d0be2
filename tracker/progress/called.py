"""Names of pupils in one list, namesakes told apart by the school's reference."""

from collections import Counter
from collections.abc import Iterable, Mapping

from django.utils.translation import gettext as _

from tracker.models import Pupil
from tracker.queries.names import fold


def called(pupils: Iterable[Pupil]) -> Mapping[int, str]:
    """By primary key. Names that differ in accents or case only are the same to an eye in a hurry."""
    known = {pupil.pk: pupil for pupil in pupils}
    times = Counter(fold(str(pupil)) for pupil in known.values())
    return {key: _with_reference(pupil) if times[fold(str(pupil))] > 1 else str(pupil) for key, pupil in known.items()}


def _with_reference(pupil: Pupil) -> str:
    return _("%(name)s (%(reference)s)") % {"name": pupil, "reference": pupil.school_ref}
