"""What a PDF file says of itself: its date as it was printed, and tags for readers that speak it.

Each page is a section. Words are paragraphs, in the order in which they are drawn; what is drawn
beside them is a figure with the page's name, apart from borders, rulers and marks to join or cut
by, which are artifacts (ISO 32000-1, 14.7 and 14.8). The file's dates are the date in its title
blocks, and there are none where that is left out: the clock is not asked.
"""

from collections.abc import Sequence
from datetime import date
from importlib import import_module
from typing import Any

ARTIFACTS = frozenset({"frame", "registration", "trim", "cut"})
"""Layers that mean nothing to someone who hears the file."""
LANGUAGE = "en"
"""The language of what Platebook itself writes on sheets."""


class PageTags:
    """The marked sequences of one page, as they are drawn.

    `code` takes the operators of the page's content.
    """

    def __init__(self, code: Any) -> None:
        self.kinds: list[str] = []
        """What each marked sequence is, by its number."""
        self._code = code
        self._open = ""

    def mark(self, layer: str, *, is_text: bool) -> None:
        """Say what is drawn next; figures and artifacts go on, each text is a paragraph."""
        kind = "Artifact" if layer in ARTIFACTS else "P" if is_text else "Figure"
        if kind == self._open != "P":
            return
        self.close()
        self._open = kind
        if kind == "Artifact":
            self._code.append("/Artifact BMC")
            return
        self._code.append(f"/{kind} <</MCID {len(self.kinds)}>> BDC")
        self.kinds.append(kind)

    def close(self) -> None:
        """End the sequence that is open, if any."""
        if self._open:
            self._code.append("EMC")
        self._open = ""


def date_file(canvas: Any, printed: str) -> None:
    """Give the file the date in its title blocks, such as 2031-05-01; no dates for any other."""
    pdf = import_module("reportlab.pdfbase.pdfdoc")
    try:
        day = date.fromisoformat(printed).strftime("D:%Y%m%d")
    except ValueError:
        day = ""

    class Info(pdf.PDFInfo):  # type: ignore[misc, name-defined]
        """The dictionary of the file, its dates our own (ISO 32000-1, 14.3.3)."""

        def format(self, document: Any) -> Any:
            texts = {
                "Title": self.title,
                "Author": self.author,
                "Subject": self.subject,
                "Producer": self.producer,
                "Creator": self.creator,
                **({"CreationDate": day, "ModDate": day} if day else {}),
            }
            entries = {key: pdf.PDFString(text) for key, text in texts.items()}
            return pdf.PDFDictionary(entries).format(document)

    canvas._doc.info = Info()


def tag_file(canvas: Any, pages: Sequence[PageTags], names: Sequence[str]) -> None:
    """Write the tags of all pages; `names` says what the figure of each page shows."""
    pdf = import_module("reportlab.pdfbase.pdfdoc")
    file = canvas._doc

    def refer(made: Any, name: str | None = None) -> bytes:
        written: bytes = file.Reference(made, name).format(file)
        return written

    def element(kind: str, parent: bytes, **more: Any) -> tuple[Any, bytes]:
        entries = {"Type": pdf.PDFName("StructElem"), "S": pdf.PDFName(kind), "P": parent, **more}
        made = pdf.PDFDictionary(entries)
        return made, refer(made)

    root = pdf.PDFDictionary({"Type": pdf.PDFName("StructTreeRoot")})
    whole, whole_at = element("Document", refer(root))
    sections, by_page = [], []
    for number, (page, tags, name) in enumerate(zip(file.Pages.pages, pages, names, strict=True)):
        section, section_at = element("Sect", whole_at)
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
        page.StructParents, page.Tabs = number, pdf.PDFName("S")
        page_at = refer(page)
        figures = [place for place, kind in enumerate(tags.kinds) if kind == "Figure"]
        drawn = {"Pg": page_at, "K": pdf.PDFArray(figures), "Alt": pdf.PDFString(name)}
        figure = element("Figure", section_at, **drawn)[1] if figures else b""
        # Written at once: as dictionaries of the library they take as long as all their drawing.
        text = b"<</Type /StructElem /S /P /P %b /Pg %b /K %%d>>" % (section_at, page_at)
        parts = [
            figure if kind == "Figure" else refer(text % place, f"P{number}.{place}")
            for place, kind in enumerate(tags.kinds)
        ]
        section.dict["K"] = pdf.PDFArray(list(dict.fromkeys(parts)))
        sections.append(section_at)
        by_page += [number, pdf.PDFArray(parts)]
    whole.dict["K"] = pdf.PDFArray(sections)
    root.dict["K"] = whole_at
    root.dict["ParentTree"] = pdf.PDFDictionary({"Nums": pdf.PDFArray(by_page)})
    root.dict["ParentTreeNextKey"] = len(pages)
    catalog = file.Catalog
    catalog.StructTreeRoot = root
    catalog.MarkInfo = pdf.PDFDictionary({"Marked": pdf.PDFtrue})
    catalog.Lang = pdf.PDFString(LANGUAGE)
