"""Addresses of the training package; every view behind them says who may open it."""

from django.urls import include, path

from training.views import home, signin

app_name = "training"

urlpatterns = [
    path("", home.home, name="home"),
    path("sign-in/", signin.sign_in, name="sign_in"),
    path("sign-out/", signin.sign_out, name="sign_out"),
    path("sign-in/secret/", signin.change_secret, name="change_secret"),
]
