"""What a house rule is not asked of, each with its reason. Short on purpose."""

# URL names that need no page of their own (rule "one name, five places"): the answer is a fragment, a redirect or data.
URLS = {
    "account-session-end": "a save: answers with a redirect to account-sessions",
    "data-undo": "a save: answers with a redirect to data-load",
    "group-close": "a save: answers with a redirect to group-check",
    "group-save": "a save: answers with JSON for one row of group-scores",
    "group-settle": "a save: answers with JSON for one row of group-scores",
    "pupil-flag-seen": "a save: answers with a redirect to the page it came from",
    "session-state": "data for the score grid",
}

# Public functions in tracker.actions that only read: a preview shows what the action would do and writes nothing.
READERS = {
    "tracker.actions.imports.preview": "shows what a load would do",
}

# Public functions in tracker.actions that carry another shape than "keyword-only, by=, on=, one transaction".
# The installation's own work has no person behind it; steps of another action run inside its transaction.
OTHER_SHAPE = {
    "tracker.actions.record": "the change record itself: called inside each action's transaction",
    "tracker.actions.errors": "what actions refuse with",
    "tracker.actions.standings.refresh": "a step of other actions, inside their transaction",
    "tracker.actions.reference.sync_reference": "the installation's own work: brings the ladder up to date",
    "tracker.actions.schools.start_school": "the installation's own work: makes the first office user",
    "tracker.actions.checks.close_overdue": "the daily command's work: nobody is signed in",
    "tracker.actions.flags.raise_clock_flags": "the daily command's work: nobody is signed in",
    "tracker.actions.sheets.sheet_for": "a step of other actions, inside their transaction",
    "tracker.actions.sheets.next_form": "a step of other actions, inside their transaction",
}

# Functions whose positional parameters a framework decides.
POSITIONAL = {
    "tracker.access.codes.CodeBackend.authenticate": "called by django.contrib.auth",
}
