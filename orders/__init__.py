"""The sale: customers, prices, quotes, orders and the money taken.

It knows the wood (`inventory`) and nothing of roads: miles and road costs come in as numbers.
Front doors: `orders.core.quotes.quote_for` prices a request, `orders.services.orders.place_order` makes
it a promise, and `orders.selectors.orders` says what stands open.
"""
