"""What one plant takes: the recipes of sticking and potting up."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.forms.recipes import RecipeForm, WhichRecipeForm
from inventory.models import Container, Plant, Recipe, Supply
from inventory.operations import supply_catalogue
from inventory.queries.recipe_list import containers_without, recipe_of, recipes
from inventory.views.catalogue import enter
from nursery.http import go_to

VERBS = {Recipe.Kind.STICK: "Sticking", Recipe.Kind.POT_UP: "Potting up"}


@require_safe
def recipe_list(request: HttpRequest) -> HttpResponse:
    """Show every recipe, or go on to the one that was chosen."""
    which = WhichRecipeForm(request.GET or None)
    if which.is_bound and which.is_valid():
        chosen = which.cleaned_data
        rows = (chosen["container"], chosen["plant"])
        return go_to(
            request, "inventory:recipe-edit", chosen["kind"], *(row.pk for row in rows if row)
        )
    context = {
        "place": "growing",
        "recipes": recipes(),
        "which": which,
        "has_supplies": Supply.objects.exists(),
        "without": [(kind, VERBS[kind], containers_without(kind)) for kind in Recipe.Kind.values],
    }
    return render(request, "inventory/recipe_list.html", context)


@require_http_methods(["GET", "POST"])
def recipe_edit(
    request: HttpRequest, kind: str, container: int, plant: int | None = None
) -> HttpResponse:
    """Write what one plant takes, for all plants or for one."""
    if kind not in VERBS:
        raise Http404
    pot = get_object_or_404(Container, pk=container)
    of = get_object_or_404(Plant, pk=plant) if plant else None
    recipe = recipe_of(kind, pot, of)
    form = RecipeForm(request.POST or None, recipe=recipe)
    whose = f" of {of.name}" if of else ""
    return enter(
        request,
        form,
        write=lambda: supply_catalogue.set_recipe(kind=kind, container=pot, plant=of, **form.what),
        said=lambda saved: (
            f"{VERBS[kind]} into {pot}{whose}: the recipe is "
            + ("saved." if saved else "taken away: it takes nothing.")
        ),
        to=lambda _: ("inventory:recipe-list",),
        context={
            "heading": f"What does one plant take? {VERBS[kind]} into {pot}{whose}",
            "verb": "Save the recipe",
        },
    )
