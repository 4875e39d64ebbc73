"""The house as a Django app: its commands and its static files."""

from django.apps import AppConfig
from django.db.backends.signals import connection_created
from django.db.models.signals import post_migrate, pre_migrate


class NurseryConfig(AppConfig):
    """Name the app."""

    name = "nursery"
    verbose_name = "Nursery"

    def ready(self):
        # Its signals must be connected before the first request, or that one asks anew each time.
        import nursery.context
        import nursery.guarding.checks
        import nursery.people.sessions
        import nursery.watching.signals  # noqa: F401
        from nursery.homes.servers import keep_prepared
        from nursery.keeping.by_itself import copy_before_migrating
        from nursery.people.roles import give_groups_their_rights
        from nursery.watching import questions

        post_migrate.connect(give_groups_their_rights, dispatch_uid="nursery.people.roles")
        pre_migrate.connect(
            copy_before_migrating, sender=self, dispatch_uid="nursery.keeping.by_itself"
        )
        connection_created.connect(keep_prepared, dispatch_uid="nursery.homes.servers")
        questions.connect()
