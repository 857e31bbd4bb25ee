"""The words of every message are the seller's to change, in each language; no gap is ever left open."""

from html import unescape

import pytest

from firewood_site.letters import letter_for
from orders.core.phrases import letter_kinds
from orders.models import Customer, OwnText
from orders.selectors.orders import order_view
from tests.factories.orders import make_order

PAGE = "/seller/set-up/messages"
MINE = {"text": "Hi {name}! {wood} for {total}: {link}", "subject": "Yours", "body": "Hello {name}, thanks."}

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(business):
    return make_order()


def keep(client, kind="asked", language="en", **words):
    typed = {**MINE, **words}
    whole = {"text": typed["text"], "body": f"{typed['subject']}\n\n{typed['body']}"}
    return client.post(PAGE, {"kind": kind, "language": language, **whole}, follow=True)


def sent(order):
    return letter_for(order_view(order.number), "asked").text


def test_own_words_are_sent_in_their_language_and_ours_in_the_other(seller_client, order):
    ours = sent(order)

    assert "Your words are sent from now on." in keep(seller_client).content.decode()

    assert sent(order).startswith(f"Hi {order.customer.name}! ")
    Customer.objects.update(language="es")
    assert sent(order).startswith("Quarrel Ridge Wood: ")
    keep(seller_client, language="es", text="Hola {name}: {link}")
    assert sent(order).startswith(f"Hola {order.customer.name}: ")
    Customer.objects.update(language="en")
    seller_client.post(PAGE, {"kind": "asked", "language": "en", "act": "ours"})
    assert sent(order) == ours


def test_the_page_shows_the_gaps_and_the_message_as_the_newest_order_reads_it(seller_client, order):
    page = unescape(keep(seller_client).content.decode())

    assert "<code>{wood}</code>" in page
    assert f"Hi {order.customer.name}! " in page
    assert "(your words)" in page


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"text": "{price}"}, "Nothing fills {price} here. You can use: {link}, {name}"),
        ({"text": "{name.__class__}"}, "Nothing fills {name.__class__} here."),
        ({"text": "{name!r}"}, "Nothing fills {name} here."),
        ({"text": "{name:>99999999}"}, "Nothing fills {name} here."),
        ({"text": "{0}"}, "Nothing fills {0} here."),
        ({"text": "{}"}, "Nothing fills {} here."),
        ({"text": "a { b"}, "stands alone"),
        ({"body": "}"}, "stands alone"),
        ({"body": ""}, "subject on the first line"),
        ({"text": " "}, "This field is required."),
        ({"text": "x" * 601}, "at most 600 characters"),
        ({"body": "a rick of wood"}, "rick"),
    ],
)
def test_words_that_could_not_be_sent_are_refused_and_not_lost(seller_client, order, words, said):
    answer = keep(seller_client, **words)

    assert answer.status_code == 422
    assert said in unescape(answer.content.decode())
    assert not OwnText.objects.exists()


@pytest.mark.parametrize("kind", letter_kinds())
@pytest.mark.parametrize("language", ["en", "es"])
def test_our_own_words_can_be_kept_as_they_are(seller_client, order, kind, language):
    form = seller_client.get(f"{PAGE}?kind={kind}&language={language}").context["form"]

    answer = seller_client.post(PAGE, {"kind": kind, "language": language, **form.initial})

    assert answer.status_code == 302, answer.context["form"].errors
    assert OwnText.objects.get().kind == kind


def test_an_unknown_message_or_language_shows_the_first(seller_client):
    for asked in ("?kind=moon", "?language=xx", "?kind=&language="):
        assert seller_client.get(PAGE + asked).context["language"] == "en"
    assert seller_client.post(PAGE, {"kind": "moon", "act": "ours"}).status_code == 302


def test_the_example_of_a_letter_keeps_its_paragraphs_apart(seller_client, order):
    page = seller_client.get(PAGE, {"kind": "confirmed"}).text

    example = page[page.index('id="example"') :]
    assert '<div class="stack small"><p>' in example
    assert example.count("<p>", example.index('class="stack small"')) > 1
