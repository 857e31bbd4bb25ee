"""The seller's addresses, by what they are about."""

from firewood_site.seller.urls import days, money, orders, stock

urlpatterns = [*money.urlpatterns, *stock.urlpatterns, *orders.urlpatterns, *days.urlpatterns]
