"""The seller's addresses, by what they are about."""

from firewood_site.seller.urls import days, money, old, orders, stock

urlpatterns = [
    *old.LOGGED,
    *stock.urlpatterns,
    *orders.urlpatterns,
    *days.urlpatterns,
    *money.urlpatterns,  # last: its set-up/<part> would take the addresses of the others
    *old.urlpatterns,
]
