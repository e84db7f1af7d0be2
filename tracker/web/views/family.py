"""What a parent or carer sees."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from tracker.progress.vocabulary import skill_label, words_explained
from tracker.queries.families import own_children
from tracker.web.permissions import ViewerRequest, needs


@require_safe
@needs("read-own-children")
def home(request: ViewerRequest) -> HttpResponse:
    school = request.viewer.school
    own = own_children(request.viewer)
    children = [{"child": child, "skills": [skill_label(key, school) for key in child.skill_keys]} for child in own]
    keys = [key for child in own for key in child.skill_keys]
    return render(request, "family/home.html", {"children": children, "explained": words_explained(keys, school)})
