"""Addresses of the certificates package; the check's is short, because it is printed and typed."""

from django.urls import path

from certificates.views import cards, gate, own

app_name = "certificates"

urlpatterns = [
    # the officer's
    path("cards/", cards.cards, name="cards"),
    path("cards/sheet.pdf", cards.cards_sheet, name="cards_sheet"),
    path("cards/<int:pk>/", cards.card, name="card"),
    path("cards/<int:pk>/card.pdf", cards.card_pdf, name="card_pdf"),
    path("cards/<int:pk>/replace/", cards.card_replace, name="card_replace"),
    path("people/<int:person>/card/", cards.card_issue, name="card_issue"),
    # the holder's
    path("my/card/", own.my_card, name="my_card"),
    path("my/card.pdf", own.my_card_pdf, name="my_card_pdf"),
    # anybody's
    path("c/", gate.check, name="check"),
    path("c/<slug:secret>/", gate.check_card, name="check_card"),
]
