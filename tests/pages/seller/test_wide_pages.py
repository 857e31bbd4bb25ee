"""Pages of forms and figures use a wide screen: parts side by side, not one strip in the middle."""

import pytest
from django.urls import reverse

from tests.pages.seller.figures import main_of

PAGES = (
    ("order-change", (212,)),
    ("order-margin", (201,)),
    ("load-margin", (1,)),
    ("shuts", ()),
    ("yard-new", ()),
    ("rig-new", ()),
    ("unit-new", ()),
    ("species-new", ()),
    ("prices-new", ()),
    ("texts", ()),
    ("lot-change", ("K1", "facts")),
)


@pytest.mark.parametrize(("name", "args"), PAGES, ids=[name for name, _ in PAGES])
def test_a_page_lays_its_parts_side_by_side(ruth, name, args):
    if name == "load-margin":
        from routing.models import Load

        args = (Load.objects.first().pk,)

    page = main_of(ruth.get(reverse(name, args=args)).content.decode())
    classes = [set((node.attrs.get("class") or "").split()) for node in page.all()]

    assert not any("narrow" in found for found in classes)
    assert any(found & {"split", "fields"} for found in classes)


def test_the_closures_list_and_the_roads_stand_beside_the_form(ruth):
    page = main_of(ruth.get(reverse("shuts")).content.decode())
    split = next(node for node in page.all("div") if "split" in node.classes)

    assert [node.tag for node in split.children if not isinstance(node, str)] == [
        "section",
        "form",
        "section",
    ]
