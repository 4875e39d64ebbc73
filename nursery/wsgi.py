"""The door for a web server."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "nursery.settings")
application = get_wsgi_application()

from nursery.homes.servers import limit_pages  # noqa: E402, it asks the settings

limit_pages()
