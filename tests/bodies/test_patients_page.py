import re
from itertools import zip_longest

import pytest

from bodies.renew_patients import PAGE, PICTURE, page

NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?")


@pytest.mark.long
def test_the_page_says_what_the_bodies_measure():
    """Numbers may differ in their last digit from one machine to the next; words may not."""
    for committed, found in zip_longest(PAGE.read_text("utf-8").splitlines(), page().splitlines(), fillvalue=""):
        assert NUMBER.sub("#", committed) == NUMBER.sub("#", found)
        numbers = [[float(number) for number in NUMBER.findall(line)] for line in (committed, found)]
        assert numbers[0] == pytest.approx(numbers[1], rel=2e-3, abs=0.11), committed
    assert PICTURE.exists()
