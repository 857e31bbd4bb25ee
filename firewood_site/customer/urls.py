"""The customer's addresses: shop, price, order, and one order by its signed link."""

from django.urls import path

from firewood_site.access import private
from firewood_site.customer.views import (
    choosing,
    claims,
    instead,
    link_again,
    neighbor,
    order,
    paying,
    price,
    quote,
    shop,
    waiting,
    worth_it,
)

urlpatterns = [
    path("", shop.shop, name="shop"),
    path("photo/<int:photo_id>.jpg", shop.photo, name="shop-photo"),
    path("our-picture/<int:photo_id>.jpg", shop.our_picture, name="our-picture"),
    path("cord-and-dryness", shop.cord_card, name="cord-card"),
    path("how-much", choosing.choosing, name="choosing"),
    path("worth-it", worth_it.worth_it, name="worth-it"),
    path("worth-it.svg", worth_it.worth_it_picture, name="worth-it-picture"),
    path("price", quote.quote, name="quote"),
    path("price/anew", private(quote.anew), name="quote-anew"),
    path("with/<str:token>", private(neighbor.join), name="neighbor"),
    path("price/<uuid:token>", private(price.price), name="quote-price"),
    path("price/<uuid:token>/place", private(price.place), name="quote-place"),
    path("price/<uuid:token>/order", private(price.order_place), name="order-place"),
    path("my-order", private(link_again.link_again), name="link-again"),
    path("tell-me", private(waiting.tell_me), name="tell-me"),
    path("o/<str:token>", private(order.status), name="order-status"),
    path("o/<str:token>/change", private(order.change), name="order-change"),
    path("o/<str:token>/other", private(instead.begin), name="order-other"),
    path("o/<str:token>/take/<uuid:quote>", private(instead.take), name="order-take"),
    path("o/<str:token>/cancel", private(order.cancel), name="order-cancel"),
    path("o/<str:token>/day.ics", private(order.calendar), name="order-calendar"),
    path("o/<str:token>/ticket", private(order.ticket), name="order-ticket"),
    path("o/<str:token>/ticket.pdf", private(order.ticket_paper), name="order-ticket-pdf"),
    path("o/<str:token>/again", private(order.repeat), name="order-repeat"),
    path("o/<str:token>/remind", private(order.remind), name="order-remind"),
    path("o/<str:token>/card", private(paying.by_card), name="order-card"),
    path("cards/event", paying.card_event, name="card-event"),
    path("o/<str:token>/wrong", private(claims.claim), name="order-claim"),
    path("o/<str:token>/photo/<int:photo_id>.jpg", private(claims.photo), name="order-photo"),
    path("no-more/<str:token>", private(order.reminder_stop), name="reminder-stop"),
]
