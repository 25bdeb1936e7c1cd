"""What stands in the list of differences is complete."""

from xlcalc.hosts.calc.differences import DIFFERENCES, table


def test_every_difference_says_what_to_do() -> None:
    assert len(table().splitlines()) == len(DIFFERENCES) + 2
    for each in DIFFERENCES:
        assert all(each), f"a column is empty: {each}"
