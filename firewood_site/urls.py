"""Three doors: customers at the root, the seller, the driver."""


urlpatterns: list = []
