"""What is read once a page."""

from inventory.core.once import once_a_page, one_page


def test_a_page_reads_once_and_the_next_one_afresh():
    asked = []

    @once_a_page
    def price(wood):
        asked.append(wood)
        return len(asked)

    assert (price("fir"), price("fir")) == (1, 2)
    with one_page():
        assert (price("fir"), price("fir"), price("oak")) == (3, 3, 4)
    with one_page():
        assert price("fir") == 5
    assert asked == ["fir", "fir", "fir", "oak", "fir"]
