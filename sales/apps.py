"""The app's configuration."""

from django.apps import AppConfig


class SalesConfig(AppConfig):
    """Name the app, and its documents to the growing side."""

    name = "sales"
    verbose_name = "Sales"

    def ready(self) -> None:
        """Let the growing pages name the documents plants left on, and what they brought."""
        from inventory.papers import register_papers
        from inventory.takings import register_takings
        from sales.queries.papers import papers_of_operations
        from sales.queries.takings import prices_of_movements

        register_papers(papers_of_operations)
        register_takings(prices_of_movements)
