"""One's own account: printed codes, password, second factor, sessions and the choice of school."""

from functools import wraps
from typing import Any

import qrcode  # type: ignore[import-untyped]
from allauth.account.adapter import get_adapter
from allauth.account.utils import perform_login
from allauth.decorators import rate_limit
from allauth.mfa.adapter import get_adapter as get_factor_adapter
from allauth.mfa.totp.internal.auth import SECRET_SESSION_KEY
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_POST
from django.views.defaults import permission_denied
from qrcode.image.svg import SvgPathFillImage  # type: ignore[import-untyped]

from tracker.actions import accounts
from tracker.actions import sessions as signed_in_browsers
from tracker.actions.errors import OutOfScope, Refused
from tracker.queries.accounts import factors, own_sessions
from tracker.web import clock
from tracker.web.forms.account import CodeForm, PasswordForm, SignInForm
from tracker.web.permissions import View, ViewerRequest, code_school, needs, signed_in, wants_json


@sensitive_post_parameters("code-code")
@rate_limit(action="login")
@never_cache
@require_POST
def code(request: Any) -> HttpResponse:
    if request.user.is_authenticated:
        return redirect("home-landing")
    form = CodeForm(request.POST)
    try:
        if form.is_valid():
            if row := _taken(request, **form.cleaned_data):
                return _came_in_by_code(request, row)
            form.refuse()
    except ValidationError as throttled:
        form.add_error(None, throttled)
    return render(request, "account/login.html", {"form": SignInForm(), "code_form": form}, status=422)


def _taken(request: Any, *, name: str, code: str) -> Any:
    """Counts the try against the throttle, then uses the code up."""
    now = clock.now()
    if get_adapter(request).authenticate(request, username=name.strip(), code=code, at=now) is None:
        return None
    return accounts.take_code(username=name.strip(), code=code, at=now)


def _came_in_by_code(request: Any, row: Any) -> HttpResponse:
    # Bound to the person: a second factor may still be asked for, and somebody else could sign in here instead.
    request.session["by_code"] = {"user": row.user.public_id, "school": row.school.public_id}
    request.session["may_set_password"] = row.user.public_id
    row.user.backend = "tracker.access.codes.CodeBackend"
    return perform_login(request, row.user)


@sensitive_post_parameters("old", "new", "again")
@signed_in
@rate_limit(action="change_password")
def password(request: Any) -> HttpResponse:
    """For everybody: to change the password, or to choose the first one after coming in with a code."""
    forgot = request.session.get("may_set_password") == request.user.public_id
    ask_old = request.user.has_usable_password() and not forgot
    form = PasswordForm(request.POST or None, user=request.user, ask_old=ask_old)
    if request.method == "POST" and form.is_valid() and _password_set(request, form):
        messages.success(request, _("Your new password holds from now on. You were signed out everywhere else."))
        return redirect("home-landing")
    return render(request, "account/password.html", {"form": form}, status=422 if form.errors else 200)


def _password_set(request: Any, form: PasswordForm) -> bool:
    viewer = request.find_viewer()
    try:
        accounts.set_password(
            user=request.user,
            password=form.cleaned_data["new"],
            keep=request.session.session_key,
            only_school=code_school(request),
            by=viewer,
            on=viewer.today if viewer else clock.now().date(),
        )
    except Refused as refused:
        form.add_error(None, refused.sentence)
        return False
    update_session_auth_hash(request, request.user)
    request.session.pop("may_set_password", None)
    return True


def changes_factors(view: View) -> View:
    """Round the pages that set up or remove a second factor: after a change all other sessions end."""

    @wraps(view)
    def wrapped(request: Any, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.method != "POST" or not request.user.is_authenticated:
            return view(request, *args, **kwargs)
        before = factors(request.user)
        response = view(request, *args, **kwargs)
        if factors(request.user) != before:
            signed_in_browsers.end_other_sessions(by=request.user, keep=request.session.session_key)
            request.session.pop("factor", None)
            request.session.cycle_key()
        return response

    return wrapped


@require_GET
@signed_in
def factor_image(request: Any) -> HttpResponse:
    """The square to photograph; the page before it put the secret in the session. Data addresses are not allowed."""
    secret = request.session.get(SECRET_SESSION_KEY)
    if not secret:
        raise Http404
    address = get_factor_adapter().build_totp_url(request.user, secret)
    square = qrcode.make(address, image_factory=SvgPathFillImage, border=3)
    return HttpResponse(square.to_string(), content_type="image/svg+xml", headers={"Cache-Control": "no-store"})


@require_GET
@signed_in
def sessions(request: ViewerRequest) -> HttpResponse:
    own = own_sessions(request.user, this_key=request.session.session_key)
    return render(request, "account/sessions.html", {"sessions": own})


@require_POST
@signed_in
def session_end(request: Any, session_id: str) -> HttpResponse:
    try:
        signed_in_browsers.end_session(session_id=session_id, by=request.user)
    except OutOfScope as gone:
        raise Http404 from gone
    return redirect("account-sessions")


@require_POST
@signed_in
def sessions_end(request: Any) -> HttpResponse:
    signed_in_browsers.end_other_sessions(by=request.user, keep=request.session.session_key)
    return redirect("account-sessions")


@require_POST
@needs()
def school(request: ViewerRequest) -> HttpResponse:
    """Goes over to another school where one has a role."""
    chosen = request.POST.get("school", "")
    if chosen not in {school.public_id for school in request.viewer.schools}:
        raise Http404
    request.session["school"] = chosen
    return redirect("home-landing")


def stale(request: Any, reason: str = "") -> HttpResponse:
    """The form's token does not fit: it stood open across a sign-in, or another site sent it."""
    if wants_json(request):
        return JsonResponse({"error": "stale"}, status=403)
    return permission_denied(request, PermissionError(reason), template_name="403_csrf.html")
