"""The app's configuration."""

from django.apps import AppConfig


class SalesConfig(AppConfig):
    """Name the app, and its documents to the growing side."""

    name = "sales"
    verbose_name = "Sales"

    def ready(self) -> None:
        """Let the growing pages name documents, what plants brought, and who holds them."""
        from inventory.entered_with import Keeper, register_prices, register_undoing
        from inventory.held import register_held
        from inventory.papers import register_papers
        from inventory.takings import register_takings
        from sales.operations.open_sales import keep_open_of
        from sales.queries.papers import papers_of_operations
        from sales.queries.promises import held_of_lots, short_without
        from sales.queries.takings import prices_of_movements
        from sales.told_prices import forget_told, has_told, keep_told

        register_papers(papers_of_operations)
        register_takings(prices_of_movements)
        register_held(held_of_lots, short_without)
        register_prices(Keeper(keep_told, forget_told, has_told))
        register_undoing(keep_open_of)
