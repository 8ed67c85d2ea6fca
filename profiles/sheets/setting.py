"""What gave way where words were set, as remarks."""

from collections.abc import Iterable, Iterator

from profiles.plate.fit import Fit
from profiles.sheets.sheet import Remark, RemarkKind
from profiles.text.finding import Spot


def find_setting_remarks(
    settings: Iterable[tuple[str, Fit, Spot]], wanted: float
) -> Iterator[Remark]:
    """One remark for all words of one setting that are lower than wanted (mm) or condensed."""
    groups: dict[tuple[float, float], list[tuple[str, Spot]]] = {}
    for name, fitted, spot in settings:
        groups.setdefault((fitted.height, fitted.condense), []).append((name, spot))
    for (height, condense), named in groups.items():
        words = []
        if height < wanted - 1e-9:
            words.append(f"set {height:.1f} mm high for {wanted:.1f} mm")
        if condense < 0.995:
            words.append(f"condensed to {condense * 100:.0f} %")
        if words:
            kind: RemarkKind = "shrunk" if height < wanted - 1e-9 else "condensed"
            name, spot = named[0]
            if len(named) > 1:
                yield Remark(kind, f"{len(named)} labels {', '.join(words)}")
            else:
                yield Remark(kind, f"{name} {', '.join(words)}", spot)
