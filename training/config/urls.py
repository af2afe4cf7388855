"""All addresses: the two packages, the language switch and the error pages."""

from django.urls import include, path
from django.views.i18n import set_language

urlpatterns = [
    path("language/", set_language, name="set_language"),
    path("", include("training.urls")),
    path("", include("certificates.urls")),
]

handler400 = "training.config.errors.bad_request"
handler500 = "training.config.errors.server_error"
