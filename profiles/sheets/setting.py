"""What gave way where words were set, as remarks."""

from collections.abc import Iterator

from profiles.model.finding import Spot
from profiles.plate.fit import Fit
from profiles.sheets.sheet import Remark, RemarkKind


def find_setting_remarks(name: str, setting: Fit, wanted: float, spot: Spot) -> Iterator[Remark]:
    """One remark where words are lower than wanted (mm) or condensed, none where they are not."""
    words = []
    if setting.height < wanted - 1e-9:
        words.append(f"set {setting.height:.1f} mm high for {wanted:.1f} mm")
    if setting.condense < 0.995:
        words.append(f"condensed to {setting.condense * 100:.0f} %")
    if words:
        kind: RemarkKind = "shrunk" if setting.height < wanted - 1e-9 else "condensed"
        yield Remark(kind, f"{name} {', '.join(words)}", spot)
