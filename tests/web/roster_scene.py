"""A school in its first weeks, and the people who look at its set-up."""

import re
from html import unescape

from django.test import Client

from tests import builders


def as_role(school, role="office"):
    """A browser of somebody with this role."""
    return builders.sign_in(Client(), builders.make_member(school, role, role.title()))


def text(response):
    """The words of the page, without marks and doubled spaces."""
    body = re.sub(r"<(script|style|title).*?</\1>|<[^>]+>", " ", response.content.decode(), flags=re.S)
    return " ".join(unescape(body).split())


def cells(response):
    """The rows of the page's tables, cell by cell."""
    rows = re.findall(r"<tr>(.*?)</tr>", response.content.decode(), flags=re.S)
    found = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, flags=re.S) for row in rows]
    return [[" ".join(unescape(re.sub(r"<[^>]+>", " ", cell)).split()) for cell in row] for row in found]


def send(client, path, do, *, row="", **values):
    """Sends one of the page's forms as the browser does; the fields of a row's form are named in full."""
    fields = {name if row else f"{do}-{name}": value for name, value in values.items()}
    return client.post(path, {"do": do, "row": row, **fields})


def errors(response):
    """The sentences beside the fields, and above the form."""
    body = response.content.decode()
    found = re.findall(r'class="field-error"[^>]*>(.*?)</p>|role="alert"><p>(.*?)</p>', body, flags=re.S)
    return [unescape(" ".join(re.sub(r"<[^>]+>", "", "".join(pair)).split())) for pair in found]


def value_of(response, name):
    """What stands in a field when the form comes back."""
    (tag,) = re.findall(rf'<input[^>]*name="{name}"[^>]*>', response.content.decode())
    found = re.search(r'value="([^"]*)"', tag)
    return unescape(found.group(1)) if found else ""


def told(client, path):
    """The message on the page after something was done."""
    body = client.get(path).content.decode()
    return [unescape(one.strip()) for one in re.findall(r'<li class="notice[^"]*">(.*?)</li>', body, flags=re.S)]


STRANGERS = ("teacher", "assistant", "provider", "head", "parent")


def who_sees(school, path, *roles):
    """What people without the right get, and the office of another school."""
    answers = {role: as_role(school, role).get(path).status_code for role in roles or STRANGERS}
    other = builders.make_school("Mill School")
    return {**answers, "nobody": Client().get(path).status_code, "other school": as_role(other).get(path).status_code}


HIDDEN = {**dict.fromkeys(STRANGERS, 404), "nobody": 302, "other school": 404}
# Pages without an object of their own: the other school's office sees its own.
OWN_ONLY = {**HIDDEN, "other school": 200}
