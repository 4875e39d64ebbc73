"""The addresses of this app's pages."""

from django.urls import path

from sales.views import (
    availability,
    books,
    buyers,
    documents,
    losses,
    margin,
    payments,
    prices,
    returns,
    sell,
    space,
)

app_name = "sales"
urlpatterns = [
    path("sell/", sell.sell, name="sell"),
    path("invoices/", documents.document_list, name="document-list"),
    path("invoices/<int:pk>/", documents.document, name="document"),
    path("invoices/<int:pk>/paper.pdf", documents.document_paper, name="document-pdf"),
    path("invoices/<int:pk>/pay/", payments.pay, name="pay"),
    path("invoices/<int:pk>/take-back/", returns.take_back, name="take-back"),
    path("invoices/<int:pk>/undo/", returns.undo_sale, name="undo-sale"),
    path("payments/<int:pk>/undo/", payments.undo_payment, name="undo-payment"),
    path("buyers/", buyers.buyers, name="buyers"),
    path("buyers/add/", buyers.buyer_add, name="buyer-add"),
    path("buyers/<int:pk>/", buyers.buyer, name="buyer"),
    path("buyers/<int:pk>/edit/", buyers.buyer_edit, name="buyer-edit"),
    path("prices/", prices.prices, name="prices"),
    path("prices/set/", prices.price_set, name="price-set"),
    path("prices/<int:pk>/undo/", prices.undo_price, name="undo-price"),
    path("settings/tax/", prices.tax_settings, name="settings-tax"),
    path("settings/tax/<int:pk>/undo/", prices.undo_tax, name="undo-tax"),
    path("availability/", availability.availability, name="availability"),
    path("books/", books.books, name="books"),
    path("books/margin/", margin.margin, name="margin"),
    path("books/margin/chart.svg", margin.margin_chart, name="margin-chart"),
    path("books/losses/", losses.losses, name="losses"),
    path("books/losses/chart.svg", losses.losses_chart, name="losses-chart"),
    path("books/valuation/", books.valuation, name="valuation"),
    path("books/space/", space.space, name="space"),
    path("books/conservation/", books.conservation, name="conservation"),
]
