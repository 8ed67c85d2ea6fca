"""The reference card as one HTML file: two tables, side by side where the screen is wide enough."""

from collections.abc import Sequence

from profiles.sheets.card_rows import BY_FUNCTION, ON_PLATE, CardRow, Groups, name_group
from profiles.sheets.html_page import Html, element, join, page


def write_page(title: str, names: str, rows: Sequence[CardRow | str], groups: Groups) -> str:
    """The page of a title; a plain string among the rows is the name of the device that follows."""
    head = element("header", element("h1", title), element("p", names))
    plate = _section(
        ON_PLATE,
        "plate",
        ("Control", "Does", "Number"),
        [_heading(row) if isinstance(row, str) else _plate_row(row) for row in rows],
    )
    functions = _section(
        BY_FUNCTION, "functions", ("Does", "Control", "Number"), _function_rows(groups)
    )
    return page(
        f"{title}: reference card", join(head, element("div", plate, functions, class_="pair"))
    )


def _section(title: str, name: str, headings: Sequence[str], rows: Sequence[Html]) -> Html:
    cells = join(*(element("th", one, scope="col") for one in headings))
    table = element(
        "table",
        element("thead", element("tr", cells)),
        element("tbody", *rows),
        aria_labelledby=name,
    )
    return element("section", element("h2", title, id=name), table, aria_labelledby=name)


def _heading(words: str) -> Html:
    return element("tr", element("th", words, scope="rowgroup", colspan="3"))


def _plate_row(row: CardRow) -> Html:
    manner = {} if row.is_bound else {"class_": "idle"}
    return element(
        "tr",
        element("th", row.chord, scope="row"),
        element("td", *_does(row)),
        element("td", row.number, class_="number"),
        **manner,
    )


def _function_rows(groups: Groups) -> list[Html]:
    rows: list[Html] = []
    for group, members in groups.items():
        rows.append(_heading(name_group(group)))
        rows += (_function_row(row) for row in members)
    return rows


def _function_row(row: CardRow) -> Html:
    return element(
        "tr",
        element("th", *_does(row), scope="row"),
        element("td", row.chord),
        element("td", row.number, class_="number"),
    )


def _does(row: CardRow) -> tuple[Html | str, ...]:
    where = ", ".join(row.contexts)
    return (row.does, element("small", where)) if where else (row.does,)
