"""The sale: answering a text, orders, money, customers, prices, make-goods."""

from django.urls import path

from firewood_site.seller.views import claims, customers, orders, payments, prices, textback

urlpatterns = [
    path("quote", textback.text_back, name="text-back"),
    path("quote/<uuid:token>", textback.answer, name="text-back-answer"),
    path("quote/<uuid:token>/order", textback.order_for_them, name="text-back-order"),
    path("orders", orders.orders, name="orders"),
    path("orders/<int:number>", orders.order, name="order"),
    path("orders/<int:number>/confirm", orders.confirm, name="order-confirm"),
    path("orders/<int:number>/decline", orders.decline, name="order-decline"),
    path("orders/<int:number>/call-off", orders.call_off, name="order-call-off"),
    path("orders/<int:number>/note", orders.note, name="order-note"),
    path("orders/<int:number>/new-link", orders.new_link, name="order-new-link"),
    path("orders/<int:number>/fetched", orders.fetched, name="order-fetched"),
    path("orders/<int:number>/write-ticket", orders.write_ticket, name="order-write-ticket"),
    path("orders/<int:number>/ticket", orders.ticket, name="ticket"),
    path("orders/<int:number>/ticket.pdf", orders.ticket_paper, name="ticket-pdf"),
    path("orders/<int:number>/photo/<int:photo_id>.jpg", orders.photo, name="order-photo-kept"),
    path("orders/<int:number>/pay", payments.pay, name="order-pay"),
    path("orders/<int:number>/give-back", payments.give_back, name="order-give-back"),
    path("orders/<int:number>/check-returned", payments.check_returned, name="order-check-returned"),
    path("money", payments.money, name="money"),
    path("customers", customers.customers, name="customers"),
    path("customers/<int:customer_id>", customers.customer, name="customer"),
    path("customers/<int:customer_id>/pay-first", customers.pay_first, name="customer-pay-first"),
    path("customers/<int:customer_id>/export.json", customers.export, name="customer-export"),
    path("customers/<int:customer_id>/erase", customers.erase, name="customer-erase"),
    path("prices", prices.prices, name="prices"),
    path("prices/new", prices.new_sheet, name="prices-new"),
    path("claims", claims.claims, name="claims"),
    path("claims/<int:claim_id>", claims.settle, name="claim-settle"),
]
