"""Signing in and out, and one's own account. Of allauth's pages only those that are used stand here."""

from allauth.account import views as allauth
from allauth.mfa.base import views as factors
from allauth.mfa.recovery_codes import views as spare_codes
from allauth.mfa.totp import views as totp
from django.urls import URLPattern, URLResolver, path
from django.views.decorators.http import require_POST

from tracker.web.forms.account import CodeForm
from tracker.web.views import account, session

sign_in = allauth.LoginView.as_view(extra_context={"code_form": CodeForm})
spare = account.changes_factors(spare_codes.generate_recovery_codes)

urlpatterns: list[URLPattern | URLResolver] = [
    path("account/sign-in/", sign_in, name="account_login"),
    path("account/code/", account.code, name="account-code"),
    path("account/sign-out/", require_POST(allauth.logout), name="account_logout"),
    path("account/closed/", allauth.account_inactive, name="account_inactive"),
    path("account/password/", account.password, name="account-password"),
    path("account/again/", allauth.reauthenticate, name="account_reauthenticate"),
    path("account/factor/", factors.index, name="mfa_index"),
    path("account/factor/code/", factors.authenticate, name="mfa_authenticate"),
    path("account/factor/again/", factors.reauthenticate, name="mfa_reauthenticate"),
    path("account/factor/new/", account.changes_factors(totp.activate_totp), name="mfa_activate_totp"),
    path("account/factor/image.svg", account.factor_image, name="account-factor-image"),
    path("account/factor/remove/", account.changes_factors(totp.deactivate_totp), name="mfa_deactivate_totp"),
    path("account/factor/spare/", spare_codes.view_recovery_codes, name="mfa_view_recovery_codes"),
    path("account/factor/spare/new/", spare, name="mfa_generate_recovery_codes"),
    path("account/sessions/", account.sessions, name="account-sessions"),
    path("account/sessions/end-others/", account.sessions_end, name="account-sessions-end"),
    path("account/sessions/<slug:session_id>/end/", account.session_end, name="account-session-end"),
    path("account/school/", account.school, name="account-school"),
    path("session/", session.state, name="session-state"),
]
