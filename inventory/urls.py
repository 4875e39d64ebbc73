"""The addresses of this app's pages."""

from django.urls import path

from inventory.views import (
    batch_page,
    batch_pictures,
    begin,
    bills,
    catalogue,
    charts,
    expected_losses,
    forecast,
    grade,
    grow,
    leave,
    lists,
    lose,
    lot_page,
    measure,
    methods,
    notebook,
    paid_ahead,
    people,
    photos,
    place_page,
    plant_page,
    ready,
    recipes,
    rooting,
    search,
    space_ahead,
    supplies,
    supply_file,
    supply_use,
    survival,
    targets,
    undo,
    work_list,
    write_off,
)

app_name = "inventory"

lists_and_pages = [
    path("growing/", lists.growing, name="growing"),
    path("search/", search.search, name="search"),
    path("lots/", lists.lot_list, name="lot-list"),
    path("lots/<int:pk>/", lot_page.lot, name="lot"),
    path("lots/<int:pk>/cost.svg", charts.lot_cost_chart, name="lot-chart"),
    path("lots/<int:pk>/life.svg", charts.lot_life_chart, name="lot-life-chart"),
    path("batches/", lists.batch_list, name="batch-list"),
    path("batches/<int:pk>/", batch_page.batch, name="batch"),
    path("batches/<int:pk>/account.svg", batch_pictures.batch_chart, name="batch-chart"),
    path("plants/", lists.plant_list, name="plant-list"),
    path("plants/<int:pk>/", plant_page.plant, name="plant"),
    path("entries/", lists.entry_list, name="entry-list"),
    path("photos/<str:name>", photos.photo, name="photo"),
    path("photos/tiny/<str:name>", photos.photo_tiny, name="photo-tiny"),
]

entries = [
    path("begin/<str:kind>/", begin.begin, name="begin"),
    path("lots/<int:pk>/root-count/", lose.root_count, name="root-count"),
    path("lots/<int:pk>/pot-up/", grow.pot_up, name="pot-up"),
    path("lots/<int:pk>/move/", grow.move, name="move"),
    path("lots/<int:pk>/count/", lose.count, name="count"),
    path("lots/<int:pk>/blend/", grow.blend, name="blend"),
    path("lots/<int:pk>/take-out/<str:kind>/", leave.take_out, name="take-out"),
    path("lots/<int:pk>/add-cost/", leave.add_cost, name="add-cost"),
    path("lots/<int:pk>/ready/", ready.ready_on, name="ready-on"),
    path("lots/<int:pk>/ready/back/<str:day>/", ready.ready_back, name="ready-back"),
    path("lots/<int:pk>/measure/", measure.measure, name="measure"),
    path("lots/<int:pk>/grade/", grade.grade, name="grade"),
    path("lots/<int:pk>/grade/back/", grade.grade_back, name="grade-back"),
    path("write-off/", write_off.write_off, name="write-off"),
    path("entries/<int:pk>/undo/", undo.undo, name="undo"),
]

catalogue_pages = [
    path("plants/<int:pk>/photos/add/", photos.photo_add, name="photo-add"),
    path("lots/<int:pk>/photos/add/", photos.lot_photo_add, name="lot-photo-add"),
    path("photos/<int:pk>/remove/", photos.photo_remove, name="photo-remove"),
    path("photos/<int:pk>/back/", photos.photo_back, name="photo-back"),
    path("plants/add/", catalogue.plant_add, name="plant-add"),
    path("plants/<int:pk>/edit/", catalogue.plant_edit, name="plant-edit"),
    path("places/", catalogue.place_list, name="place-list"),
    path("places/add/", catalogue.place_add, name="place-add"),
    path("places/<int:pk>/edit/", catalogue.place_edit, name="place-edit"),
    path("containers/", catalogue.container_list, name="container-list"),
    path("containers/<int:pk>/edit/", catalogue.container_edit, name="container-edit"),
    path("stock-plants/", catalogue.stock_plant_list, name="stock-plant-list"),
    path("stock-plants/add/", catalogue.stock_plant_add, name="stock-plant-add"),
    path("expected-losses/", expected_losses.expected_losses, name="expected-losses"),
    path(
        "expected-losses/back/<str:stage>/<int:plant>/<str:before>/",
        expected_losses.expected_loss_back,
        name="expected-loss-back",
    ),
]

supply_pages = [
    path("supplies/", supplies.supply_list, name="supply-list"),
    path("supplies/add/", supplies.supply_add, name="supply-add"),
    path("supplies/from-file/", supply_file.supply_import, name="supply-import"),
    path("supplies/<int:pk>/", supplies.supply, name="supply"),
    path("supplies/<int:pk>/price.svg", supplies.supply_chart, name="supply-chart"),
    path("supplies/<int:pk>/edit/", supplies.supply_edit, name="supply-edit"),
    path("supplies/<int:pk>/buy/", supplies.supply_buy, name="supply-buy"),
    path("supplies/<int:pk>/count/", supplies.supply_count, name="supply-count"),
    path("supply-entries/<int:pk>/", supply_use.supply_use, name="supply-use"),
    path("supply-entries/<int:pk>/undo/", supplies.supply_undo, name="supply-undo"),
    path("recipes/", recipes.recipe_list, name="recipe-list"),
    path("recipes/<str:kind>/<int:container>/", recipes.recipe_edit, name="recipe-edit"),
    path(
        "recipes/<str:kind>/<int:container>/<int:plant>/", recipes.recipe_edit, name="recipe-edit"
    ),
    path("people/", people.person_list, name="person-list"),
    path("people/add/", people.person_add, name="person-add"),
    path("people/<int:pk>/edit/", people.person_edit, name="person-edit"),
]

bill_pages = [
    path("bills/", bills.bill_list, name="bill-list"),
    path("bills/add/", bills.bill_add, name="bill-add"),
    path("bills/<int:pk>/", bills.bill, name="bill"),
    path("bills/<int:pk>/undo/", bills.bill_undo, name="bill-undo"),
    path("paid-ahead/", paid_ahead.paid_ahead_list, name="paid-ahead-list"),
    path("paid-ahead/add/", paid_ahead.paid_ahead_add, name="paid-ahead-add"),
    path("paid-ahead/<int:pk>/", paid_ahead.paid_ahead_page, name="paid-ahead"),
    path("paid-ahead/<int:pk>/charge/", paid_ahead.paid_ahead_charge, name="paid-ahead-charge"),
    path("paid-ahead/<int:pk>/undo/", paid_ahead.paid_ahead_undo, name="paid-ahead-undo"),
]

record_pages = [
    path("survival/", survival.survival, name="survival"),
    path("survival/chart.svg", survival.survival_chart, name="survival-chart"),
    path("survival/groups.svg", survival.survival_groups_chart, name="survival-groups-chart"),
    path("rooting/", rooting.rooting, name="rooting"),
    path("rooting/chart.svg", rooting.rooting_chart, name="rooting-chart"),
    path("rooting/compare/", rooting.rooting_compare, name="rooting-compare"),
    path("rooting/batches/", rooting.rooting_batches, name="rooting-batches"),
    path("rooting/batches/chart.svg", rooting.rooting_batches_chart, name="rooting-batches-chart"),
]

notebook_pages = [
    path("notebook/", notebook.notebook, name="notebook"),
    path("notebook/<uuid:key>/", notebook.notebook_rows, name="notebook-rows"),
    path("notebook/<uuid:key>/columns/", notebook.notebook_columns, name="notebook-columns"),
    path("notebook/<uuid:key>/row/<int:number>/", notebook.notebook_row, name="notebook-row"),
    path("notebook/<uuid:key>/bring-in/", notebook.notebook_bring_in, name="notebook-bring-in"),
    path("notebook/<uuid:key>/forget/", notebook.notebook_forget, name="notebook-forget"),
    path("notebook/done/<int:pk>/", notebook.notebook_done, name="notebook-done"),
]

target_pages = [
    path("room-ahead/", space_ahead.room_ahead, name="room-ahead"),
    path("room-ahead/weeks.svg", space_ahead.room_chart, name="room-chart"),
    path("ready-ahead/", forecast.ready_ahead, name="ready-ahead"),
    path("ready-ahead/months.svg", forecast.ready_chart, name="ready-chart"),
    path("targets/", targets.target_list, name="target-list"),
    path("targets/add/", targets.target_add, name="target-add"),
    path("targets/<int:pk>/edit/", targets.target_edit, name="target-edit"),
    path("targets/<int:pk>/remove/", targets.target_remove, name="target-remove"),
    path("targets/<int:pk>/back/", targets.target_back, name="target-back"),
    path(
        "targets/<int:pk>/change-back/<str:before>/",
        targets.target_change_back,
        name="target-change-back",
    ),
]

method_pages = [
    path("methods/", methods.method_list, name="method-list"),
    path("methods/add/", methods.method_add, name="method-add"),
    path("methods/hormone/", methods.hormone, name="hormone"),
    path("methods/ready-made/<slug:key>/copy/", methods.starter_copy, name="starter-copy"),
    path("methods/<int:pk>/", methods.method, name="method"),
    path("methods/<int:pk>/edit/", methods.method_edit, name="method-edit"),
    path("methods/<int:pk>/copy/", methods.method_copy, name="method-copy"),
    path("methods/<int:pk>/remove/", methods.method_remove, name="method-remove"),
    path("methods/<int:pk>/back/", methods.method_back, name="method-back"),
    path("methods/<int:pk>/steps/add/", methods.step_add, name="step-add"),
    path("steps/<int:pk>/edit/", methods.step_edit, name="step-edit"),
    path("steps/<int:pk>/remove/", methods.step_remove, name="step-remove"),
    path("steps/<int:pk>/back/", methods.step_back, name="step-back"),
]

work_pages = [
    path("work/", work_list.works, name="works"),
    path("batches/<int:pk>/edit/", batch_page.batch_edit, name="batch-edit"),
    path("batches/<int:pk>/steps/<int:step>/", work_list.batch_step, name="batch-step"),
    path("work/done/", work_list.steps_done, name="steps-done"),
    path("work/undo/", work_list.steps_undo, name="steps-undo"),
    path("places/<int:pk>/", place_page.place, name="place"),
    path("places/<int:pk>/sprayed/", place_page.spraying_add, name="spraying-add"),
    path("sprayings/<int:pk>/remove/", place_page.spraying_remove, name="spraying-remove"),
    path("sprayings/<int:pk>/back/", place_page.spraying_back, name="spraying-back"),
    path("bench-notes/<int:pk>/remove/", place_page.bench_note_remove, name="bench-note-remove"),
    path("bench-notes/<int:pk>/back/", place_page.bench_note_back, name="bench-note-back"),
]

urlpatterns = [
    *(*lists_and_pages, *entries, *catalogue_pages),
    *(*bill_pages, *supply_pages, *record_pages, *target_pages, *notebook_pages),
    *(*method_pages, *work_pages),
]
