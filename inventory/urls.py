"""The addresses of this app's pages."""

app_name = "inventory"
urlpatterns = []
