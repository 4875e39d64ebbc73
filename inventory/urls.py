"""The addresses of this app's pages."""

from django.urls import path

from inventory.views import batch_page, charts, lists, lot_page, plant_page, search

app_name = "inventory"
urlpatterns = [
    path("growing/", lists.growing, name="growing"),
    path("search/", search.search, name="search"),
    path("lots/", lists.lot_list, name="lot-list"),
    path("lots/<int:pk>/", lot_page.lot, name="lot"),
    path("lots/<int:pk>/cost.svg", charts.lot_cost_chart, name="lot-chart"),
    path("lots/<int:pk>/life.svg", charts.lot_life_chart, name="lot-life-chart"),
    path("batches/", lists.batch_list, name="batch-list"),
    path("batches/<int:pk>/", batch_page.batch, name="batch"),
    path("plants/", lists.plant_list, name="plant-list"),
    path("plants/<int:pk>/", plant_page.plant, name="plant"),
    path("entries/", lists.entry_list, name="entry-list"),
]
