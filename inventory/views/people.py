"""The people who work at the nursery, and what an hour of theirs costs."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.forms.people import PersonForm
from inventory.models import Person
from inventory.operations import supply_catalogue
from inventory.views.catalogue import enter


@require_safe
def person_list(request: HttpRequest) -> HttpResponse:
    """Show the people and their rates."""
    context = {"people": Person.objects.all(), "place": "growing"}
    return render(request, "inventory/person_list.html", context)


@require_http_methods(["GET", "POST"])
def person_add(request: HttpRequest) -> HttpResponse:
    """Add a person."""
    form = PersonForm(request.POST or None)
    return enter(
        request,
        form,
        write=lambda: supply_catalogue.add_person(**form.what),
        said=lambda person: f"{person} is on the list.",
        to=lambda _: ("inventory:person-list",),
        context={"heading": "Add a person", "verb": "Add the person"},
    )


@require_http_methods(["GET", "POST"])
def person_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person's name or rate."""
    row = get_object_or_404(Person, pk=pk)
    form = PersonForm(request.POST or None, person=row)
    return enter(
        request,
        form,
        write=lambda: supply_catalogue.edit_person(person=row, **form.what),
        said=lambda person: f"{person} is saved.",
        to=lambda _: ("inventory:person-list",),
        context={"heading": f"Change {row}", "verb": "Save the person"},
    )
