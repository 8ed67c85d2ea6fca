"""The route search: exhaustive search, and instances of TSPLIB with published optima."""

from itertools import pairwise, permutations
from math import acos, cos, dist
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.wiring.route import chain_length, shortest_chain, shortest_loop

Table = list[list[float]]

# TSPLIB, burma14: 14 places in Burma, latitude and longitude.
BURMA14 = [
    (16.47, 96.10),
    (16.47, 94.44),
    (20.09, 92.54),
    (22.39, 93.37),
    (25.23, 97.24),
    (22.00, 96.05),
    (20.47, 97.02),
    (17.20, 96.29),
    (16.30, 97.38),
    (14.05, 98.12),
    (16.53, 97.38),
    (21.52, 95.59),
    (19.41, 97.13),
    (20.09, 94.55),
]

# TSPLIB, bayg29: 29 towns in Bavaria, upper rows of distances.
BAYG29 = """
97 205 139 86 60 220 65 111 115 227 95 82 225 168 103 266 205 149 120 58 257 152 52 180 136 82 34
145
129 103 71 105 258 154 112 65 204 150 87 176 137 142 204 148 148 49 41 211 226 116 197 89 153 124 74
219 125 175 386 269 134 184 313 201 215 267 248 271 274 236 272 160 151 300 350 239 322 78 276 220
60
167 182 180 162 208 39 102 227 60 86 34 96 129 69 58 60 120 119 192 114 110 192 136 173 173
51 296 150 42 131 268 88 131 245 201 175 275 218 202 119 50 281 238 131 244 51 166 95 69
279 114 56 150 278 46 133 266 214 162 302 242 203 146 67 300 205 111 238 98 139 52 120
178 328 206 147 308 172 203 165 121 251 216 122 231 249 209 111 169 72 338 144 237 331
169 151 227 133 104 242 182 84 290 230 146 165 121 270 91 48 158 200 39 64 210
172 309 68 169 286 242 208 315 259 240 160 90 322 260 160 281 57 192 107 90
140 195 51 117 72 104 153 93 88 25 85 152 200 104 139 154 134 149 135
320 146 64 68 143 106 88 81 159 219 63 216 187 88 293 191 258 272
174 311 258 196 347 288 243 192 113 345 222 144 274 124 165 71 153
144 86 57 189 128 71 71 82 176 150 56 114 168 83 115 160
61 165 51 32 105 127 201 36 254 196 136 260 212 258 234
106 110 56 49 91 153 91 197 136 94 225 151 201 205
215 159 64 126 128 190 98 53 78 218 48 127 214
61 155 157 235 47 305 243 186 282 261 300 252
105 100 176 66 253 183 146 231 203 239 204
113 152 127 150 106 52 235 112 179 221
79 163 220 119 164 135 152 153 114
236 201 90 195 90 127 84 91
273 226 148 296 238 291 269
112 130 286 74 155 291
130 178 38 75 180
281 120 205 270
213 145 36
94 217
162
"""

# The tour that TSPLIB publishes as the optimum of bayg29.
BAYG29_TOUR = "1 28 6 12 9 26 3 29 5 21 2 20 10 4 15 18 14 17 22 11 19 25 7 23 8 27 16 13 24"


def geographical(places: list[tuple[float, float]]) -> Table:
    """TSPLIB's GEO distance: degrees are cut, not rounded; pi is 3.141592; radius 6378.388."""

    def radians(angle: float) -> float:
        degrees = int(angle)
        return 3.141592 * (degrees + 5.0 * (angle - degrees) / 3.0) / 180.0

    def distance(one: tuple[float, float], other: tuple[float, float]) -> int:
        (lat1, long1), (lat2, long2) = map(radians, one), map(radians, other)
        q1, q2, q3 = cos(long1 - long2), cos(lat1 - lat2), cos(lat1 + lat2)
        return int(6378.388 * acos(0.5 * ((1.0 + q1) * q2 - (1.0 - q1) * q3)) + 1.0)

    return [[0 if a == b else distance(a, b) for b in places] for a in places]


def from_upper_rows(text: str, count: int = 29) -> Table:
    numbers = iter(text.split())
    table = [[0.0] * count for _ in range(count)]
    for a in range(count):
        for b in range(a + 1, count):
            table[a][b] = table[b][a] = float(next(numbers))
    return table


def loop_length(table: Table, order: list[int]) -> float:
    return sum(table[a][b] for a, b in pairwise([*order, order[0]]))


def test_burma14_reaches_the_published_optimum() -> None:
    """TSPLIB: 3323."""
    loop = shortest_loop(geographical(BURMA14))
    assert (loop.length, loop.exact) == (3323, True)
    assert loop_length(geographical(BURMA14), list(loop.order)) == 3323


def test_bayg29_reaches_the_published_optimum() -> None:
    """TSPLIB: 1610, the length of the published tour too."""
    table = from_upper_rows(BAYG29)
    assert loop_length(table, [int(town) - 1 for town in BAYG29_TOUR.split()]) == 1610
    loop = shortest_loop(table)
    assert loop.length == loop_length(table, list(loop.order)) == 1610
    assert 0.95 * 1610 < loop.at_least <= 1610


def test_bayg29_is_proven_with_more_work() -> None:
    assert shortest_loop(from_upper_rows(BAYG29), work=100_000_000).at_least == 1610


def table_of(points: list[tuple[float, float]]) -> Table:
    return [[dist(a, b) for b in points] for a in points]


coordinates = st.floats(0, 300, allow_nan=False, width=16)
plates = st.lists(st.tuples(coordinates, coordinates), min_size=1, max_size=8)


@given(plates)
@settings(max_examples=60, deadline=None)
def test_no_order_of_up_to_seven_stops_is_shorter(points: list[tuple[float, float]]) -> None:
    """Exhaustive: every order of the stops after the board."""
    table = table_of(points)
    chain = shortest_chain(table)
    others = permutations(range(1, len(points)))
    least = min(chain_length(table, (0, *order)) for order in others)
    assert chain.length == pytest.approx(least, abs=1e-6)
    assert chain_length(table, chain.order) == pytest.approx(chain.length)
    assert chain.exact


def test_no_order_of_eight_stops_is_shorter() -> None:
    """Exhaustive: 40,320 orders of eight stops, four times."""
    for seed in range(4):
        random = Random(seed)
        table = table_of([(random.uniform(0, 300), random.uniform(0, 150)) for _ in range(9)])
        least = min(
            sum(table[a][b] for a, b in pairwise((0, *order)))
            for order in permutations(range(1, 9))
        )
        assert shortest_chain(table).length == pytest.approx(least)


@given(plates.filter(lambda points: len(points) > 2))
@settings(max_examples=40, deadline=None)
def test_a_fixed_end_is_kept_and_no_order_between_is_shorter(
    points: list[tuple[float, float]],
) -> None:
    table, end = table_of(points), len(points) - 1
    chain = shortest_chain(table, end)
    orders = permutations(range(1, end))
    least = min(chain_length(table, (0, *order, end)) for order in orders)
    assert chain.order[-1] == end
    assert chain.length == pytest.approx(least, abs=1e-6)


def least_over_subsets(table: Table) -> float:
    """A dynamic programming approach to sequencing problems, 1962: over subsets, for a free end."""
    count = len(table)
    best = {(1 << point, point): table[0][point] for point in range(1, count)}
    for _ in range(count - 2):
        grown: dict[tuple[int, int], float] = {}
        for (seen, here), length in best.items():
            for point in range(1, count):
                state = (seen | 1 << point, point)
                total = length + table[here][point]
                if not seen >> point & 1 and total < grown.get(state, float("inf")):
                    grown[state] = total
        best = grown
    return min(best.values())


@pytest.mark.parametrize("count", [11, 12])
def test_chains_of_a_dozen_stops_equal_the_dynamic_program(count: int) -> None:
    random = Random(count)
    table = table_of([(random.uniform(0, 300), random.uniform(0, 150)) for _ in range(count + 1)])
    chain = shortest_chain(table)
    assert chain.length == pytest.approx(least_over_subsets(table))
    assert chain.exact


@pytest.mark.parametrize("kind", ["grid", "row", "one spot", "random"])
def test_fourteen_stops_are_always_exact(kind: str) -> None:
    """Grids and equal places make many equal chains, the hard case for a bound."""
    random = Random(14)
    places = {
        "grid": [(25.0 * (n % 5), 25.0 * (n // 5)) for n in range(15)],
        "row": [(25.0 * n, 0.0) for n in range(15)],
        "one spot": [(7.0, 7.0)] * 15,
        "random": [(random.uniform(0, 300), random.uniform(0, 150)) for _ in range(15)],
    }[kind]
    assert shortest_chain(table_of(places)).exact


@given(st.integers(0, 100))
@settings(max_examples=10, deadline=None)
def test_longer_chains_visit_all_and_keep_their_bound(seed: int) -> None:
    random = Random(seed)
    table = table_of([(random.uniform(0, 300), random.uniform(0, 150)) for _ in range(25)])
    chain = shortest_chain(table)
    assert sorted(chain.order) == list(range(25))
    assert chain.order[0] == 0
    assert chain.at_least <= chain.length * (1 + 1e-9)
    assert chain.length <= 1.15 * chain.at_least
    assert chain == shortest_chain(table)
