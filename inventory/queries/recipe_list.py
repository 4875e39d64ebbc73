"""The recipes of sticking and potting up, as their page shows them."""

from django.db.models import Prefetch, QuerySet

from inventory.models import Container, Person, Plant, Recipe, RecipeLine, WorkEntry


def recipes() -> QuerySet:
    """Return all recipes with their lines, by kind and container."""
    lines = RecipeLine.objects.select_related("supply")
    return (
        Recipe.objects.select_related("container", "plant")
        .prefetch_related(Prefetch("lines", lines))
        .order_by("-kind", "container__position", "container__code", "plant__search_key")
    )


def recipe_of(kind: str, container: Container, plant: Plant | None) -> Recipe | None:
    """Return the recipe of just that plant, or of just all plants."""
    return recipes().filter(kind=kind, container=container, plant=plant).first()


def containers_without(kind: str) -> QuerySet:
    """Return the containers in use that have no recipe of that kind for all plants."""
    wanted = Container.Kind.PROPAGATION if kind == Recipe.Kind.STICK else Container.Kind.SALE
    having = Recipe.objects.filter(kind=kind, plant=None).values("container")
    return Container.objects.filter(in_use=True, kind=wanted).exclude(pk__in=having)


def last_worker(kind: str) -> Person | None:
    """Return who did that kind of work the last time, else the first person on the list."""
    done = WorkEntry.objects.filter(operation__kind=kind).select_related("person").order_by("-pk")
    last = done.first()
    return last.person if last else Person.objects.first()
