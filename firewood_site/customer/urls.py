"""The customer's addresses: shop, price, order, and one order by its signed link."""

from django.urls import path

from firewood_site.access import private
from firewood_site.customer.views import claims, order, quote, shop

urlpatterns = [
    path("", shop.shop, name="shop"),
    path("price", quote.quote, name="quote"),
    path("price/<uuid:token>", private(quote.price), name="quote-price"),
    path("price/<uuid:token>/order", private(quote.order_place), name="order-place"),
    path("o/<str:token>", private(order.status), name="order-status"),
    path("o/<str:token>/change", private(order.change), name="order-change"),
    path("o/<str:token>/cancel", private(order.cancel), name="order-cancel"),
    path("o/<str:token>/day.ics", private(order.calendar), name="order-calendar"),
    path("o/<str:token>/ticket", private(order.ticket), name="order-ticket"),
    path("o/<str:token>/ticket.pdf", private(order.ticket_paper), name="order-ticket-pdf"),
    path("o/<str:token>/again", private(order.repeat), name="order-repeat"),
    path("o/<str:token>/remind", private(order.remind), name="order-remind"),
    path("o/<str:token>/wrong", private(claims.claim), name="order-claim"),
    path("o/<str:token>/photo/<int:photo_id>.jpg", private(claims.photo), name="order-photo"),
    path("no-more/<str:token>", private(order.reminder_stop), name="reminder-stop"),
]
