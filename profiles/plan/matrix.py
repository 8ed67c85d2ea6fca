"""Lines and crossings for contacts: whole commons, fewest lines, fewest diodes, least wire.

`plan_matrix` answers a `MatrixTask`. Contacts that sit somewhere stay there; those that share a
common stay on one row or one column; as many of the others as the pins allow get a crossing, in
their order. Of all ways to do so with the fewest lines, it looks for the one that needs the fewest
diodes, and of those for the one with the least wire.

A small task is searched whole, by branch and bound: lines that hold nothing yet are alike, so only
the first of them is tried. A larger one starts from a few drafts (bands of the plate, contacts that
stay closed gathered on few lines, the first arrangement that fits, each contact where it costs the
least wire) and is improved by exchanges.
"""

from collections.abc import Iterable, Mapping, Sequence
from math import inf
from typing import NamedTuple

from profiles.plan.assignment import assign
from profiles.plan.matrix_search import MatrixTask, Places, Search, Shape, Weigher, kept_diodes
from profiles.wiring.matrix import Crossing

SEARCH_STEPS = 12_000
"""Steps of the search through all arrangements of a shape; a second or so."""

MOST_SEARCHED = 12
"""Contacts up to which all arrangements are searched; of more there are far too many."""

FIT_STEPS = 4_000
"""Steps after which no arrangement is expected to be found in a shape."""

EXCHANGES = 0.5
"""Exchanges tried in a larger task for each step of a search; fewer the longer its lines are."""

PATTERNS = 1_500
"""Exchanges of contacts that differ as to diodes, divided by the contacts: each takes longer."""

MOST_SHAPES = 4
"""Shapes with equally many lines that are weighed, the squarest first."""


class MatrixPlan(NamedTuple):
    """Where each contact sits, which have a diode, and the straight length of all lines, mm.

    `left_out` found no crossing. `exact` says that nothing better exists.
    """

    rows: int
    columns: int
    places: Mapping[int, Crossing]
    diodes: frozenset[int]
    wire: float
    left_out: tuple[int, ...]
    exact: bool


def plan_matrix(task: MatrixTask, steps: int = SEARCH_STEPS) -> MatrixPlan:
    """Return where each contact sits, with the fewest lines, then diodes, then wire.

    `steps` bounds the search through all arrangements of a shape, and the exchanges with it.
    Without any, rows of the matrix follow those of the plate as well as they can.
    """
    units: dict[frozenset[int], None] = {}
    for contact in range(len(task.at)):
        units.setdefault(task.group_of.get(contact, frozenset({contact})))
    chosen = set(task.kept)
    left_out: list[int] = []
    wanted = chosen.union(*units)
    if not _shapes(task, wanted):  # the pins do not suffice: the first ones come first
        for unit in units:
            if unit <= chosen or _shapes(task, chosen | unit):
                chosen |= unit
            else:
                left_out += sorted(unit - chosen)
        wanted = chosen
    weigher = Weigher(task)
    best: tuple[tuple[float, float], Shape, Places] | None = None
    exact = True
    for shape, draft in _shapes(task, wanted)[:MOST_SHAPES]:
        search = Search(task, weigher, shape, wanted, steps, best[0] if best else (inf, inf))
        is_small = len(search.order) <= MOST_SEARCHED
        if is_small:
            search.run()
        found = search.places
        if search.cut_short or not is_small:
            exact = False
            found = _improve_drafts(task, weigher, shape, wanted, draft, found, steps)
        if found is not None:
            cost = weigher.cost(shape, found) if steps else (_measure_spread(task, found), 0.0)
            if best is None or cost < best[0]:
                best = cost, shape, dict(found)
    if best is None:
        return MatrixPlan(task.rows, task.columns, {}, frozenset(), 0.0, tuple(left_out), True)
    shape, places = best[1], _in_order(task, *best[1:])
    wire = weigher.cost(shape, places)[1]
    at = {place: contact for contact, place in places.items()}
    diodes = frozenset(at[place] for place in weigher.diodes(shape, places).diodes)
    if task.diodes == "every":
        diodes = frozenset(places)
    return MatrixPlan(*shape, places, diodes | kept_diodes(task), wire, tuple(left_out), exact)


def _in_order(task: MatrixTask, shape: Shape, places: Places) -> Places:
    """Return an arrangement with its new lines in the order in which a person reads the plate."""
    found = places
    for axis, old in ((0, task.rows), (1, task.columns)):
        middles = {}
        for line in range(old + 1, shape[axis] + 1):
            stops = [task.at[one] for one, place in places.items() if place[axis] == line]
            x, y = (sum(k) / len(stops) for k in zip(*stops, strict=True)) if stops else (inf, 0.0)
            middles[line] = (-round(y), x) if axis == 0 else (round(x), -y)
        order = sorted(middles, key=lambda line: (middles[line], line))
        new = {line: number for number, line in enumerate(order, old + 1)}
        found = {
            one: (new.get(place[0], place[0]), place[1])
            if axis == 0
            else (place[0], new.get(place[1], place[1]))
            for one, place in found.items()
        }
    return found


def _measure_spread(task: MatrixTask, places: Places) -> float:
    """Return by how much, mm, the rows of a matrix leave those of the plate."""
    rows: dict[int, list[float]] = {}
    for contact, (row, _) in places.items():
        rows.setdefault(row, []).append(task.at[contact][1])
    return sum(max(ys) - min(ys) for ys in rows.values())


def _shapes(task: MatrixTask, wanted: set[int]) -> list[tuple[Shape, Places]]:
    """Return the shapes of fewest lines that hold these contacts, each with an arrangement."""
    if not wanted:
        return []
    for lines in range(task.rows + task.columns, task.most_lines + 1):
        shapes = [
            Shape(rows, lines - rows)
            for rows in range(max(task.rows, 1), lines - max(task.columns, 1) + 1)
            if rows * (lines - rows) >= len(wanted)
        ]
        shapes.sort(key=lambda shape: (_grown(task, shape), abs(shape.rows - shape.columns)))
        fits = [(shape, _fit(task, shape, wanted)) for shape in shapes]
        if found := [(shape, fit) for shape, fit in fits if fit is not None]:
            return found
    return []


def _grown(task: MatrixTask, shape: Shape) -> int:
    """Return how many lines of the side that should stay are added."""
    if task.grows is None:
        return 0
    return shape.columns - task.columns if task.grows == "rows" else shape.rows - task.rows


def _fit(task: MatrixTask, shape: Shape, wanted: set[int]) -> Places | None:
    """Return an arrangement that fits into a shape, or None where none is found."""
    search = Search(task, Weigher(task), shape, wanted, FIT_STEPS, first=True)
    search.run()
    return search.places


def _improve_drafts(
    task: MatrixTask,
    weigher: Weigher,
    shape: Shape,
    wanted: set[int],
    fit: Places,
    found: Places | None,
    steps: int,
) -> Places:
    """Return the best of several drafts, improved by exchanges."""
    drafts = [fit] if found is None else [fit, found]
    if task.kept:
        drafts += [one for one in [_draft_nearby(task, weigher, shape, wanted)] if one]
    else:
        closed = task.needs.steady.union(*task.needs.exclusive)
        keys = [[(1, one + 1) not in closed for one in range(len(task.at))]]
        keys += [] if task.is_harmless else [[False] * len(task.at)]
        for axis in (0, 1) if steps else (0,):
            drafts += [d for late in keys if (d := _draft_bands(task, shape, wanted, axis, late))]
    if not steps:
        return drafts[-1]
    best = min(drafts, key=lambda places: weigher.cost(shape, places))
    return _exchange(task, weigher, shape, best, steps)


def _draft_bands(
    task: MatrixTask, shape: Shape, wanted: set[int], axis: int, late: Sequence[bool]
) -> Places | None:
    """Return the contacts in bands of the plate, one a line, or None where groups do not fit.

    Rows are filled from the top of the plate (axis 0), columns from the left (axis 1); contacts
    that are not `late` come first.
    """
    lines, size = (shape.rows, shape.columns) if axis == 0 else (shape.columns, shape.rows)
    across, along = (1, 0) if axis == 0 else (0, 1)  # of a point on the plate
    units = {task.group_of.get(one, frozenset({one})): None for one in sorted(wanted)}

    def where(unit: frozenset[int]) -> tuple[bool, float, float]:
        x, y = (sum(task.at[one][k] for one in unit) / len(unit) for k in (along, across))
        return all(late[one] for one in unit), -y if axis == 0 else y, x

    bands: list[list[int]] = [[] for _ in range(lines)]
    for unit in sorted(units, key=where):
        band = next((one for one in bands if len(one) + len(unit) <= size), None)
        if band is None:
            return None
        band += sorted(unit)
    spread = sorted(task.at[one][along] for one in wanted)
    marks = [spread[(2 * k + 1) * len(spread) // (2 * size)] for k in range(size)]
    places = {}
    for line, band in enumerate(bands, 1):
        costs = [
            [
                abs(task.at[one][along] - mark) + 1e-6 * (rank - k) ** 2
                for k, mark in enumerate(marks)
            ]
            for rank, one in enumerate(band)
        ]
        for one, at in zip(band, assign(costs), strict=True):
            places[one] = (line, at + 1) if axis == 0 else (at + 1, line)  # type: ignore[operator]
    return places


def _draft_nearby(
    task: MatrixTask, weigher: Weigher, shape: Shape, wanted: set[int]
) -> Places | None:
    """Return each contact where it costs the least wire, in turn; None where groups do not fit."""
    search = Search(task, weigher, shape, wanted, 0)
    for contact in search.order:
        options = []
        for place in search.list_options(contact, shape.rows, shape.columns):
            added = 0.0
            for axis in (0, 1):
                old = frozenset(task.at[one] for one in search.stops.get((axis, place[axis]), ()))
                added += weigher.chain(old | {task.at[contact]}) - weigher.chain(old)
            options.append((added, place))
        if not options:
            return None
        search.put(contact, min(options)[1])
    return search.now


def _exchange(
    task: MatrixTask, weigher: Weigher, shape: Shape, places: Places, steps: int
) -> Places:
    """Return an arrangement improved by exchanging contacts, or moving them to free crossings.

    An exchange that changes what needs a diode is judged by the diodes first.
    """
    from random import Random  # slow to import, and only large matrices need it

    random, now = Random(len(places)), dict(places)
    patterns, diodes = PATTERNS // len(now), len(weigher.diodes(shape, now).diodes)
    at: dict[Crossing, int] = {place: contact for contact, place in now.items()}
    cells = [
        (row, column)
        for row in range(1, shape.rows + 1)
        for column in range(1, shape.columns + 1)
        if at.get((row, column)) not in task.kept
    ]
    stops: dict[tuple[int, int], set[int]] = {}
    for contact, place in now.items():
        for axis in (0, 1):
            stops.setdefault((axis, place[axis]), set()).add(contact)

    def wire(lines: Iterable[tuple[int, int]]) -> float:
        chain = weigher.chain
        return sum(chain(frozenset(task.at[one] for one in stops.get(k, ()))) for k in lines)

    def put(moves: Sequence[tuple[int, Crossing]]) -> None:
        for contact, _ in moves:
            old = now[contact]
            if at.get(old) == contact:
                del at[old]
            for axis in (0, 1):
                stops[axis, old[axis]].discard(contact)
        for contact, place in moves:
            now[contact], at[place] = place, contact
            for axis in (0, 1):
                stops.setdefault((axis, place[axis]), set()).add(contact)

    exchanges = int(steps * EXCHANGES * 4 / max(4, *shape)) if len(cells) > 1 else 0
    for _ in range(exchanges):
        one, other = random.sample(cells, 2)
        pair = [contact for contact in (at.get(one), at.get(other)) if contact is not None]
        moves = [(c, other if now[c] == one else one) for c in pair]
        if not pair or not all(_stays_whole(task, now, dict(moves), c) for c in pair):
            continue
        is_alike = task.is_harmless or (
            len(pair) == 2 and task.roles[pair[0]] == task.roles[pair[1]]
        )
        if not is_alike and (patterns := patterns - 1) < 0:
            continue
        lines = {(axis, place[axis]) for place in (one, other) for axis in (0, 1)}
        before, back = (diodes, wire(lines) - 1e-9), [(c, now[c]) for c in pair]
        put(moves)
        now_diodes = diodes if is_alike else len(weigher.diodes(shape, now).diodes)
        if (now_diodes, wire(lines)) < before:
            diodes = now_diodes
        else:
            put(back)
    return now


def _stays_whole(task: MatrixTask, now: Places, moves: Places, contact: int) -> bool:
    """Whether the group of a contact shares a line once contacts have moved."""
    group = task.group_of.get(contact, frozenset())
    places = [moves.get(mate, now[mate]) for mate in group if mate in now]
    return len({row for row, _ in places}) < 2 or len({column for _, column in places}) < 2
