"""The app's configuration."""

from django.apps import AppConfig


class SalesConfig(AppConfig):
    """Name the app, and its documents to the growing side."""

    name = "sales"
    verbose_name = "Sales"

    def ready(self) -> None:
        """Let the growing pages name the documents plants left on."""
        from inventory.papers import register_papers
        from sales.queries.papers import papers_of_operations

        register_papers(papers_of_operations)
