"""The tables of the sale. Django looks for models here."""

from orders.models.claims import Claim
from orders.models.customers import Customer, Place
from orders.models.letters import Letter
from orders.models.numbering import Numbering
from orders.models.orders import Order, OrderHold
from orders.models.own_texts import OwnText
from orders.models.payments import Payment, PaymentKind
from orders.models.prices import Market, PriceSheet, Town, Uplift, WoodPrice
from orders.models.quotes import Quote
from orders.models.tickets import Ticket
from orders.models.waiting import WaitingEntry

__all__ = [
    "Claim",
    "Customer",
    "Letter",
    "Market",
    "Numbering",
    "Order",
    "OrderHold",
    "OwnText",
    "Payment",
    "PaymentKind",
    "Place",
    "PriceSheet",
    "Quote",
    "Ticket",
    "Town",
    "Uplift",
    "WaitingEntry",
    "WoodPrice",
]
