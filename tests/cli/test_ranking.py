"""`tasting rank`."""

from pathlib import Path

import pytest
from scipy.stats import friedmanchisquare

from tests.cli.conftest import Tasting

BEERS = """\
# Korosteleva 2013, Nonparametric Methods in Statistics with SAS Applications: three beers.
taster,first,second,third
1,4,5,8
2,3,7,6
3,2,8,8
4,5,7,9
5,1,3,6
6,4,4,6
7,3,6,8
8,2,5,5
9,2,7,9
10,6,4,5
"""


@pytest.fixture
def beers(tmp_path: Path) -> Path:
    file = tmp_path / "beers.csv"
    file.write_text(BEERS)
    return file


def test_the_printed_rank_sums_and_scipys_statistic(tasting: Tasting, beers: Path) -> None:
    """Rank sums as in the book."""
    said = tasting("rank", beers, "--json").json
    columns = zip(*[map(int, row.split(",")[1:]) for row in BEERS.splitlines()[2:]], strict=True)

    assert said["products"] == ["first", "second", "third"]
    assert said["friedman"]["rank_sums"] == [12.5, 20.5, 27.0]
    assert said["friedman"]["statistic"] == pytest.approx(friedmanchisquare(*columns).statistic)


def test_people_read_which_pairs_differ(tasting: Tasting, beers: Path) -> None:
    """Rank sums 14.5 apart differ, 8 and 6.5 do not: the least difference is 11 without ties."""
    out = tasting("rank", beers).out

    assert "Korosteleva 2013" in out
    assert "The products were shown to differ: Friedman's χ² = " in out
    assert "(exact, over all permutations; α = 0.05)" in out
    assert "rank sums 11 or more apart differ at α = 0.05 (exact)." in out
    assert [line.split()[-2:] for line in out.splitlines() if "–" in line] == [
        ["not", "shown"],
        ["0.0012", "shown"],
        ["not", "shown"],
    ]


def test_the_smallest_rank_sum_comes_first(tasting: Tasting, beers: Path) -> None:
    lines = tasting("rank", beers).out.splitlines()
    order = [line.split()[0] for line in lines if line.strip().endswith(("1.25", "2.05", "2.70"))]

    assert order == ["first", "second", "third"]


def test_no_word_says_that_they_are_alike(tasting: Tasting, tmp_path: Path) -> None:
    file = tmp_path / "even.csv"
    file.write_text("who,a,b,c\n1,1,2,3\n2,3,2,1\n3,2,1,3\n")

    assert "The products were not shown to differ" in tasting("rank", file).out


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "the first line has to name"),
        ("who,a,b\n1,1,2\n2,2,1\n", "3 products or more"),
        ("who,a,b,a\n1,1,2,3\n", "the product 'a' occurs twice"),
        ("who,a,b,c\n1,1,2,3\n1,1,2,3\n", "the assessor '1' occurs twice"),
        ("who,a,b,c\n1,1,2\n", "assessor '1' has 2 values for 3 products"),
        ("who,a,b,c\n1,1,2,x\n", "assessor '1', c: 'x' is not a number"),
        ("who,a,b,c\n1,1,2,\n", "assessor '1', c: nothing is written where a number belongs"),
        ("who,a,b,c\n1,1,2,nan\n2,1,2,3\n", "'nan' is not a number"),
        ('who,a,b,c\n1,1,2,"1,000"\n', "'1,000' can mean 1 or 1000"),
        ("who,a,b,c\n1,1,2,3\n", "at least 2 assessors"),
        ("who,a,b,c\n1,2,2,2\n2,1,1,1\n", "every assessor ties all products"),
    ],
)
def test_a_bad_table_is_one_sentence(
    tasting: Tasting, tmp_path: Path, text: str, sentence: str
) -> None:
    file = tmp_path / "bad.csv"
    file.write_text(text)
    said = tasting("rank", file)

    assert (said.code, said.out) == (2, "")
    assert sentence in said.err
    assert said.err.count("\n") == 1
