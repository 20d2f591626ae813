"""`cornerwise fit`: the arithmetic alone, held to a search through every count."""

from __future__ import annotations

import itertools
import json
import math
import re
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable

    Run = Callable[..., subprocess.CompletedProcess[bytes]]


@pytest.fixture
def fit(cornerwise: Run) -> Callable[..., dict[str, Any]]:
    """Run `fit --json`, having checked that all was quiet."""

    def run(*words: str) -> dict[str, Any]:
        done = cornerwise("fit", *words, "--json")
        assert done.stderr == b""
        assert done.returncode == 0
        found: dict[str, Any] = json.loads(done.stdout)
        assert list(found) == ["sides", "pairs"]
        return found

    return run


def _allowed(number: str) -> list[int]:
    return [n for n in range(1, 2000) if number == "any" or n % 2 == (number == "odd")]


def _best(length: float, asked: float, number: str) -> list[int]:
    """Every allowed count, nearest first by |ln(repeat / asked)|, ties to the smaller."""
    return sorted(_allowed(number), key=lambda n: (round(abs(math.log(length / n / asked)), 12), n))


CASES = [
    ("75,39", 3.6, "repeat", 6.0, "any"),
    ("75,39", 3.6, "angle", 45.0, "any"),
    ("75,39", 3.6, "angle", 45.0, "even"),
    ("75,39", 3.6, "angle", 60.0, "odd"),
    ("40,56", 3.625, "repeat", 8.0, "any"),
    ("12,12", 3.0, "repeat", 8.0, "any"),  # 1 of 12 and 2 of 6: which is nearer by logarithm
    ("3,100", 3.0, "repeat", 6.0, "even"),
    ("80", 4.0, "repeat", 6.5, "odd"),
]


@pytest.mark.parametrize(("sides", "height", "way", "value", "number"), CASES)
def test_the_candidates_are_the_nearest_of_all_counts(
    sides: str, height: float, way: str, value: float, number: str, fit: Callable[..., dict[str, Any]]
) -> None:
    """At least five of a side, best first, each with its repeat, angle and difference."""
    found = fit("--sides", sides, "--height", str(height), f"--{way}", str(value), "--number", number)
    asked = value if way == "repeat" else 2 * height / math.tan(math.radians(value))
    lengths = [float(part) for part in sides.split(",")]
    assert [side["length_in"] for side in found["sides"]] == lengths
    for side in found["sides"]:
        assert list(side) == ["length_in", "candidates"]
        counts = [c["count"] for c in side["candidates"]]
        assert len(counts) >= 5
        assert counts == _best(side["length_in"], asked, number)[: len(counts)]
        for c in side["candidates"]:
            assert list(c) == ["count", "repeat_in", "angle_deg", "difference_pct"]
            assert c["repeat_in"] == pytest.approx(side["length_in"] / c["count"], abs=1e-9)
            assert c["angle_deg"] == pytest.approx(math.degrees(math.atan(2 * height / c["repeat_in"])), abs=1e-9)
            assert c["difference_pct"] == pytest.approx(100 * (c["repeat_in"] / asked - 1), abs=1e-9)


def _pairs(one: float, other: float, asked: float, number: str) -> list[tuple[int, int]]:
    """Every pair within 25 % of the asked repeat, least apart first, then by the larger difference."""
    near = [[n for n in _allowed(number) if abs(length / n / asked - 1) <= 0.25 + 1e-12] for length in (one, other)]
    rows = []
    for a, b in itertools.product(*near):
        shares = (one / a / asked, other / b / asked)
        apart = 100 * (max(shares) / min(shares) - 1)
        rows.append((round(apart, 9), round(max(abs(share - 1) for share in shares), 9), (a, b)))
    return [row[2] for row in sorted(rows)]


@pytest.mark.parametrize(("sides", "height", "way", "value", "number"), [case for case in CASES if "," in case[0]])
def test_the_pairs_are_all_that_are_near_enough(
    sides: str, height: float, way: str, value: float, number: str, fit: Callable[..., dict[str, Any]]
) -> None:
    """Best first by how far their repeats are apart."""
    found = fit("--sides", sides, "--height", str(height), f"--{way}", str(value), "--number", number)
    asked = value if way == "repeat" else 2 * height / math.tan(math.radians(value))
    one, other = (float(part) for part in sides.split(","))
    assert [tuple(pair["counts"]) for pair in found["pairs"]] == _pairs(one, other, asked, number)
    for pair in found["pairs"]:
        assert list(pair)[:3] == ["counts", "repeats_in", "apart_pct"]
        repeats = [one / pair["counts"][0], other / pair["counts"][1]]
        assert pair["repeats_in"] == pytest.approx(repeats, abs=1e-9)
        assert pair["apart_pct"] == pytest.approx(100 * (max(repeats) / min(repeats) - 1), abs=1e-9)


def test_a_typed_count_is_the_same_for_each_side_and_no_difference(fit: Callable[..., dict[str, Any]]) -> None:
    """The asked repeat of a side is its length over the count."""
    found = fit("--sides", "75,39", "--height", "3.6", "--count", "12")
    for side in found["sides"]:
        (only,) = [c for c in side["candidates"] if c["count"] == 12]
        assert only["repeat_in"] == pytest.approx(side["length_in"] / 12)
        assert only["difference_pct"] == 0
    assert found["pairs"][0]["counts"] == [12, 12]
    assert found["pairs"][0]["apart_pct"] == pytest.approx(100 * (75 / 39 - 1))


def test_of_more_sides_the_adjoining_different_ones_are_paired(fit: Callable[..., dict[str, Any]]) -> None:
    """Three sides give the first with the second and the second with the third, in order; equal ones are no pair."""
    found = fit("--sides", "75,39,20", "--repeat", "6", "--height", "3.6")
    assert [side["length_in"] for side in found["sides"]] == [75, 39, 20]
    assert [tuple(p["counts"]) for p in found["pairs"]] == _pairs(75, 39, 6, "any") + _pairs(39, 20, 6, "any")
    equal = fit("--sides", "39,39,20", "--repeat", "6", "--height", "3.6")
    assert [tuple(p["counts"]) for p in equal["pairs"]] == _pairs(39, 20, 6, "any")


def test_one_side_has_no_pairs(fit: Callable[..., dict[str, Any]]) -> None:
    """There is nothing to go with."""
    assert fit("--sides", "80", "--repeat", "6")["pairs"] == []


@pytest.mark.parametrize(
    "words",
    [
        ("--sides", "1905mm,990.6mm", "--height", "91.44mm", "--repeat", "152.4mm"),
        ("--sides", "1905,990.6", "--height", "91.44", "--repeat", "152.4", "--unit", "mm"),
        ("--sides", "190.5,99.06", "--height", "9.144", "--repeat", "15.24", "--unit", "cm"),
        ("--sides", "75in, 39", "--height", "3 3/5", "--repeat", "6"),
    ],
)
def test_lengths_may_be_in_any_unit(words: tuple[str, ...], fit: Callable[..., dict[str, Any]]) -> None:
    """The results are inches."""
    plain, other = fit("--sides", "75,39", "--height", "3.6", "--repeat", "6"), fit(*words)
    for one, two in zip(plain["sides"], other["sides"], strict=True):
        assert two["length_in"] == pytest.approx(one["length_in"])
        assert [c["count"] for c in two["candidates"]] == [c["count"] for c in one["candidates"]]


def test_the_table_says_what_the_json_says(cornerwise: Run, fit: Callable[..., dict[str, Any]]) -> None:
    """The same counts in the same order, with repeats as fractions and decimals, and every row as wide as its head."""
    words = ("--sides", "75,39", "--height", "3.6", "--repeat", "6")
    done = cornerwise("fit", *words)
    assert done.returncode == 0
    assert done.stderr == b""
    text = done.stdout.decode()
    found = fit(*words)
    blocks = re.split(r"\n(?=Side of|\S.* together)", text)
    assert len(blocks) == 3
    for block, side in zip(blocks, found["sides"], strict=False):
        rows = re.findall(r"^ +(\d+) +([\d /]+?) +([\d.]+) +([\d.]+)° +([+-][\d.]+) %$", block, re.MULTILINE)
        assert [int(row[0]) for row in rows] == [c["count"] for c in side["candidates"]]
        for row, c in zip(rows, side["candidates"], strict=True):
            assert float(row[2]) == pytest.approx(c["repeat_in"], abs=6e-4)
            whole, _, part = row[1].rpartition(" ") if "/" in row[1] else (row[1], "", "0/1")
            top, bottom = part.split("/")
            assert int(whole or 0) + int(top) / int(bottom) == pytest.approx(c["repeat_in"], abs=1 / 32 + 1e-9)
            assert float(row[3]) == pytest.approx(c["angle_deg"], abs=0.051)
            assert float(row[4]) == pytest.approx(c["difference_pct"], abs=0.051)
    shown = re.findall(r"^ +(\d+) +(\d+) .* ([\d.]+) %$", blocks[2], re.MULTILINE)
    assert shown
    assert [[int(a), int(b)] for a, b, _ in shown] == [pair["counts"] for pair in found["pairs"][: len(shown)]]


@pytest.mark.parametrize(
    "words",
    [
        ("--sides", ""), ("--sides", ","), ("--sides", "75,"), ("--sides", "75;39"), ("--sides", "0,39"), ("--sides", "-75,39"),
        ("--sides", "nan"), ("--sides", "inf,39"), ("--sides", "1e9"), ("--sides", "wide"), ("--sides", ",".join(["9"] * 50)),
        ("--sides", "75", "--repeat", "0"), ("--sides", "75", "--repeat", "-6"), ("--sides", "75", "--repeat", "nan"),
        ("--sides", "75", "--repeat", "0.0001"), ("--sides", "75", "--repeat", "six"),
        ("--sides", "75", "--angle", "0"), ("--sides", "75", "--angle", "90"), ("--sides", "75", "--angle", "nan"),
        ("--sides", "75", "--angle", "inf"), ("--sides", "75", "--angle", "steep"), ("--sides", "75", "--angle", "89.9999999999"),
        ("--sides", "75", "--count", "0"), ("--sides", "75", "--count", "-3"), ("--sides", "75", "--count", "2.5"),
        ("--sides", "75", "--count", "999999999999"), ("--sides", "75", "--count", "7", "--number", "even"),
        ("--sides", "75", "--height", "0"), ("--sides", "75", "--height", "-1"), ("--sides", "75", "--height", "nan"),
        ("--sides", "75", "--number", "prime"), ("--sides", "75", "--unit", "ell"), ("--sides", "75", "--repeat", "6", "--angle", "45"),
        ("--sides", "7\n5"), ("--sides", "9" * 5000 + " 3/8"), ("--sides", "75", "--angle", "4\n5"),
    ],
    ids=lambda words: " ".join(words)[:40].replace("\n", "|"),
)  # fmt: skip
def test_bad_input_is_refused_in_one_sentence(
    words: tuple[str, ...], cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """As table and as JSON."""
    said = sentence(cornerwise("fit", *words))
    assert sentence(cornerwise("fit", *words, "--json")) == said
    assert len(said) < 1000
