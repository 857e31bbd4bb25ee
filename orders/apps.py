from django.apps import AppConfig


class OrdersConfig(AppConfig):
    name = "orders"

    def ready(self) -> None:
        """Money, wood and roads are written as the seller's place counts them."""
        from inventory.core.local import read_local
        from orders.selectors.local import local_of_books

        read_local(local_of_books)
