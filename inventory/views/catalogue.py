"""Pages for plants, places, containers and stock plants."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.errors import LedgerError
from inventory.forms.catalogue import ContainerForm, PlaceForm, PlantForm, StockPlantForm
from inventory.models import Container, Place, Plant, StockPlant
from inventory.operations import catalogue
from inventory.queries.standing import places_with_plants
from nursery.http import go_to
from nursery.undo import offer_undo


@require_http_methods(["GET", "POST"])
def plant_add(request: HttpRequest) -> HttpResponse:
    """Add a plant."""
    form = PlantForm(request.POST or None)
    return enter(
        request,
        form,
        write=lambda: catalogue.add_plant(**form.what),
        said=lambda plant: f"{plant.name} is on the list.",
        to=lambda plant: ("inventory:plant", plant.pk),
        context={"heading": "Add a plant", "verb": "Add the plant"},
    )


@require_http_methods(["GET", "POST"])
def plant_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a plant."""
    plant = get_object_or_404(Plant, pk=pk)
    form = PlantForm(request.POST or None, plant=plant)
    return enter(
        request,
        form,
        write=lambda: catalogue.edit_plant(plant=plant, **form.what),
        said=lambda plant: f"{plant.name} is saved.",
        to=lambda plant: ("inventory:plant", plant.pk),
        context={"heading": "Change a plant", "verb": "Save the plant"},
    )


@require_safe
def place_list(request: HttpRequest) -> HttpResponse:
    """Show the places and how many plants stand there."""
    context = {"places_here": places_with_plants(), "place": "growing"}
    return render(request, "inventory/place_list.html", context)


@require_http_methods(["GET", "POST"])
def place_add(request: HttpRequest) -> HttpResponse:
    """Add a place."""
    form = PlaceForm(request.POST or None)
    return enter(
        request,
        form,
        write=lambda: catalogue.add_place(**form.what),
        said=lambda place: f"{place} is on the list.",
        to=lambda _: ("inventory:place-list",),
        context={"heading": "Add a place", "verb": "Add the place"},
    )


@require_http_methods(["GET", "POST"])
def place_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a place."""
    row = get_object_or_404(Place, pk=pk)
    form = PlaceForm(request.POST or None, place=row)
    return enter(
        request,
        form,
        write=lambda: catalogue.edit_place(place=row, **form.what),
        said=lambda place: f"{place} is saved.",
        to=lambda _: ("inventory:place-list",),
        context={"heading": f"Change {row}", "verb": "Save the place"},
    )


@require_safe
def container_list(request: HttpRequest) -> HttpResponse:
    """Show the containers with their classes."""
    context = {"containers": Container.objects.all(), "place": "growing"}
    return render(request, "inventory/container_list.html", context)


@require_http_methods(["GET", "POST"])
def container_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is the nursery's own about a container."""
    row = get_object_or_404(Container, pk=pk)
    form = ContainerForm(request.POST or None, container=row)
    return enter(
        request,
        form,
        write=lambda: catalogue.edit_container(container=row, **form.what),
        said=lambda container: f"{container} is saved.",
        to=lambda _: ("inventory:container-list",),
        context={"heading": f"Container {row}", "verb": "Save", "container": row},
    )


@require_safe
def stock_plant_list(request: HttpRequest) -> HttpResponse:
    """Show the parents that cuttings are taken from."""
    rows = StockPlant.objects.select_related("plant", "place")
    context = {"stock_plants": rows, "place": "growing"}
    return render(request, "inventory/stock_plant_list.html", context)


@require_http_methods(["GET", "POST"])
def stock_plant_add(request: HttpRequest) -> HttpResponse:
    """Add a parent plant."""
    form = StockPlantForm(request.POST or None)
    return enter(
        request,
        form,
        write=lambda: catalogue.add_stock_plant(**form.what),
        said=lambda stock_plant: f"{stock_plant} is on the list.",
        to=lambda _: ("inventory:stock-plant-list",),
        context={"heading": "Add a stock plant", "verb": "Add the stock plant"},
    )


def enter(
    request: HttpRequest,
    form,
    *,
    write: Callable,
    said: Callable[..., str],
    to: Callable[..., tuple],
    context: dict,
    undo: Callable[..., str] | None = None,
    template: str = "inventory/catalogue_form.html",
) -> HttpResponse:
    """Show the form, or write and go on; `undo` returns the address that takes it back."""
    if form.is_bound and form.is_valid():
        try:
            row = write()
        except LedgerError as error:
            form.refuse(error)
        else:
            if undo:
                offer_undo(request, said(row), undo(row))
            else:
                messages.success(request, said(row))
            return go_to(request, *to(row))
    context = {"form": form, "place": "growing", **context}
    return render(request, template, context)
