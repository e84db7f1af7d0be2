"""What a house rule is not asked of, each with its reason. Short on purpose."""

# URL names that need no page of their own (rule "one name, five places"): the answer is a fragment, a redirect or data.
URLS = {
    "account-code": "a save: answers with a redirect to the first page, or with the sign-in page",
    "account-factor-image": "a picture on the page that sets up the second factor",
    "account-school": "a save: answers with a redirect to the first page",
    "account-session-end": "a save: answers with a redirect to account-sessions",
    "account-sessions-end": "a save: answers with a redirect to account-sessions",
    "data-export-file": "a file to keep, offered on data-export",
    "data-undo": "a save: answers with a redirect to data-load",
    "group-close": "a save: answers with a redirect to group-check",
    "group-save": "a save: answers with JSON for one row of group-scores",
    "group-settle": "a save: answers with JSON for one row of group-scores",
    "pupil-flag-seen": "a save: answers with a redirect to the page it came from",
    "sheet-make": "a save: answers with a redirect to sheet-print, or with sheet-list when it is refused",
    "session-state": "data for the score grid",
}

# Calls outside tracker.actions that look like writing a row and are none: (module, start of the call).
WRITES = {
    ("tracker.web.middleware", "session.save"): "the session store, which belongs to no school",
    ("tracker.web.views.account", "qrcode.make("): "draws a picture into memory",
}

# Functions of tracker.actions that pages and commands use and that only read: they need no transaction and no day.
READERS = {
    "tracker.actions.checks.day_warning": "says what is unusual about a day before the check is planned",
    "tracker.actions.imports.loading.preview": "shows what a load would do",
}

# Functions of tracker.actions that pages and commands use in another shape than "keyword-only, by=, on=, one
# transaction": nobody is signed in yet, or the installation itself acts.
OTHER_SHAPE = {
    "tracker.actions.sessions.begin_session": "nobody views yet: sign-in itself",
    "tracker.actions.sessions.forget_session": "nobody views any more: sign-out itself",
    "tracker.actions.sessions.rename_session": "a session gets a new key: sign-in itself",
    "tracker.actions.accounts.take_code": "nobody views yet: sign-in itself",
    "tracker.actions.sessions.end_other_sessions": "a person's own sessions end at an instant, not on a school's day",
    "tracker.actions.sessions.end_session": "a person's own session ends at an instant, not on a school's day",
    "tracker.actions.sessions.touch_session": "a session's last sign of life",
    "tracker.actions.closing.close_overdue": "the daily command's work: nobody is signed in",
    "tracker.actions.clock.raise_clock_flags": "the daily command's work: nobody is signed in",
    "tracker.actions.saved.forget_keys": "the daily command's work: drops what no browser can repeat",
    "tracker.actions.standings.rebuild": "the installation's own work: a transaction for every few hundred pupils",
    "tracker.actions.reference.sync_reference": "the installation's own work: brings the ladder up to date",
    "tracker.actions.erasure.replay_erasures": "the installation's own work after a restore: one transaction a pupil",
    "tracker.actions.imports.cells.grade": "reads one cell for the demo; writes nothing",
    "tracker.actions.imports.reading.read_file": "reads a file's rows for the demo; writes nothing",
    "tracker.actions.schools.start_school": "the installation's own work: makes the first office user",
}

# Functions whose positional parameters a framework decides.
POSITIONAL = {
    "tracker.web.forms.week.PlainSelect.render": "called by django.forms",
    "tracker.access.codes.CodeBackend.authenticate": "called by django.contrib.auth",
}
