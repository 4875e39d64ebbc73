"""The addresses of this app's pages."""

from django.urls import path

from sales.views import availability, books, losses, margin

app_name = "sales"
urlpatterns = [
    path("availability/", availability.availability, name="availability"),
    path("books/", books.books, name="books"),
    path("books/margin/", margin.margin, name="margin"),
    path("books/margin/chart.svg", margin.margin_chart, name="margin-chart"),
    path("books/losses/", losses.losses, name="losses"),
    path("books/losses/chart.svg", losses.losses_chart, name="losses-chart"),
    path("books/valuation/", books.valuation, name="valuation"),
    path("books/conservation/", books.conservation, name="conservation"),
]
