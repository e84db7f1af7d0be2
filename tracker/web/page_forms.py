"""A page that holds several small forms: at most one was sent, and it comes back with its sentences if it is wrong."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from tracker.access.permissions import may
from tracker.actions.errors import OutOfScope, Refused
from tracker.web.permissions import ViewerRequest

Row = TypeVar("Row")


@dataclass(frozen=True)
class Deed:
    """What happens when a form was sent: the action, what is said afterwards, and where one goes from there.

    `bare`: the action takes nothing from the form. `stay`: the answer is shown on this page, once. `again`: the
    form stands open once more, for the next of many.
    """

    act: Callable[..., Any]
    said: str = ""
    to: str = ""
    bare: bool = False
    stay: bool = False
    again: bool = False


class PageForms:
    """`right` is needed for every form that does not name another one."""

    def __init__(self, request: ViewerRequest, right: str) -> None:
        self.request, self.right = request, right
        self.sent = request.POST.get("do", "") if request.method == "POST" else ""
        self.row = request.POST.get("row", "") if self.sent else ""
        self.shown: dict[str, Form] = {}
        self.rows: dict[str, list[tuple[Any, Form]]] = {}
        self.deed: Deed | None = None
        self.result: Any = None
        self.wrong = False

    def may(self, right: str = "") -> bool:
        return may(self.request.viewer, right or self.right)

    def add(
        self,
        do: str,
        form_class: type[Form],
        deed: Deed,
        *,
        fixed: Mapping[str, Any] | None = None,
        right: str = "",
        **options: Any,
    ) -> None:
        """`fixed` goes to the action beside what was typed; `options` go to the form."""
        asked = self.sent == do
        form = form_class(self.request.POST if asked else None, prefix=do, **options)
        self.shown[do.replace("-", "_")] = form
        if asked and self.may(right):
            self._run(form, deed, fixed or {})

    def each(
        self,
        rows: Iterable[Row],
        form_class: type[Form],
        deeds: Mapping[str, Deed],
        *,
        key: str,
        options: Callable[[Row], dict[str, Any]] = lambda row: {},
        prefix: str = "",
    ) -> list[tuple[Row, Form]]:
        """The same form beside every row; `key` is the action's name for the row's public id.

        `prefix` keeps fields apart where a row has several forms.
        """
        named = prefix or key
        return [(row, self._beside(row, form_class, deeds, key=key, named=named, **options(row))) for row in rows]

    def _beside(
        self, row: Any, form_class: type[Form], deeds: Mapping[str, Deed], *, key: str, named: str, **options: Any
    ) -> Form:
        asked = self.sent in deeds and self.row == row.public_id
        form = form_class(self.request.POST if asked else None, prefix=f"{named}-{row.public_id}", **options)
        if asked and self.may():
            self._run(form, deeds[self.sent], {key: row.public_id})
        return form

    def _run(self, form: Form, deed: Deed, fixed: Mapping[str, Any]) -> None:
        self.wrong = not (deed.bare or form.is_valid())
        if self.wrong:
            return
        viewer = self.request.viewer
        try:
            self.result = deed.act(**({} if deed.bare else _arguments(form)), **fixed, by=viewer, on=viewer.today)
            self.deed = deed
        except OutOfScope:
            raise Http404 from None
        except Refused as refused:
            self.wrong = True
            form.is_valid()
            form.add_error(refused.field if refused.field in form.fields else None, refused.sentence)

    def answer(self, template: str, context: dict[str, Any], *, to: str) -> HttpResponse:
        """Back to the page after something was done, so that a reload repeats nothing; else the page itself."""
        if self.deed and not self.deed.stay:
            if self.deed.said:
                messages.success(self.request, self.deed.said)
            # Without a fragment: with one, browsers put the cursor nowhere.
            again = f"?again={self.sent}" if self.deed.again else ""
            return redirect((self.deed.to or to) + again)
        if self.request.method == "POST" and not self.deed and not self.wrong:
            raise Http404
        shown = {**context, **self.rows, "forms": self.shown, "may_change": self.may(), "result": self.result}
        shown["again"] = self.request.GET.get("again", "")
        return render(self.request, template, shown, status=422 if self.wrong else 200)


def _arguments(form: Form) -> dict[str, Any]:
    """A form's fields are named as the action's arguments; one that gathers them says so itself."""
    gather = getattr(form, "arguments", None)
    return gather() if gather else dict(form.cleaned_data)
