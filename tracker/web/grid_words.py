"""The sentences that the score grid's script shows, translated here once."""

from django.utils.translation import gettext as _


def words() -> dict[str, str]:
    """In curly brackets stands what the script fills in."""
    return {
        "absent": _("absent"),
        "stopped": _("stopped"),
        "digits": _("“{text}” is not a whole number; type digits only."),
        "missing_correct": _("Type how many digits were correct, 0 if none."),
        "missing_reached": _("Type the last item reached, 0 if none."),
        "missing_wrong": _("Type how many digits were wrong, 0 if none."),
        "waiting": _("kept here, waiting for the connection"),
        "held": _("kept here, not saved yet"),
        "gone": _("This row can’t be saved from here any more: load the page again. What you typed is kept here."),
        "rows_wait": _("Kept on this computer, not sent yet: {count}"),
        "offline": _("No connection. Go on typing: every row is kept here and sent when the connection is back."),
        "trouble": _("The server does not answer. Go on typing: every row is kept here and sent again by itself."),
        "signed_out": _("Your sign-in has ended. What you typed is kept here. Sign in again in another tab or here."),
        "other_user": _("Somebody else is signed in in this browser. Your rows wait here until you sign in again."),
        "back": _("The connection is back; everything is saved."),
        "saved_at": _("Each row saves itself; last at {time}."),
        "no_storage": _("This browser keeps nothing for later: stay on this page until every row is saved."),
        "every_row": _("Every row is in."),
        "in_hand": _("In hand: {name}"),
        "jump_more": _("{name}, {number} of {count}: arrow down for the next"),
        "jump_none": _("No name begins with “{text}”."),
        "conflict": _("Two entries were typed for this row. Which is right?"),
        "side": _("{who}, {when}"),
        "pasted": _("Rows filled: {count}."),
        "too_many": _("There were more lines than rows; these are not used: {text}"),
        "too_wide": _("There were more columns than boxes; these are not used: {text}"),
        "row_answer": _("{name}: {rate} a minute, {accuracy}"),
        "row_marked": _("{name}: {status}"),
        "unsent_before_close": _("Some rows are not saved yet. Close the check when they are."),
        "forgotten": _("“{text}” was typed after the check was closed and is not saved."),
        "forget": _("Forget it"),
    }
