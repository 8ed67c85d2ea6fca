"""The Findings view: what was found, what to do, where it is, and the page that explains it."""

from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Input
from textual.worker import get_current_worker

from profiles.checks.codes import find_page
from profiles.files.toml_edit import EditError
from profiles.model import Finding, Place, Spot
from profiles.text.prose import count
from profiles.tui.dialogs import Ask, Read
from profiles.tui.filters import ROUND, Filter, filter_findings
from profiles.tui.frame import Aside, Line, Listing, Pane, StoppedError, refusable, start_work
from profiles.tui.naming import documents_of, name_ids, name_spot
from profiles.work.edits import Edit
from profiles.work.fixes import prove
from profiles.work.remedies import accept, find_remedy

MOST_LISTED = 400
SIGNS = {"error": "E", "warning": "w", "note": "n"}


class FindingsPane(Pane):
    """A list, and beside it everything about the marked finding."""

    title: ClassVar[str] = "Findings"
    hint: ClassVar[str] = (
        "What the checks find, checked again after every change: of the whole library, or of the "
        "chosen profile and device alone. E is an error, w a warning, n a note. If one key can "
        "fix a finding, the page beside it says so."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r", "fix", "Fix"),
        Binding("a", "accept", "Accept"),
        Binding("o", "go", "Show on plate"),
        Binding("f", "file", "Show in file"),
        Binding("e", "worst", "Errors, warnings, all"),
        Binding("m", "mine", "This profile only"),
        Binding("slash", "words", "Filter"),
        Binding("escape", "list", "To the list", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="findings")
        self._filter = Filter()
        self._listed: list[Finding] = []
        self._marked = ""
        self._fix: Edit | None = None

    def compose(self) -> ComposeResult:
        """Filter line and list; the page beside them."""
        with Vertical(classes="wide"):
            yield Line(id="filter-said")
            yield Input(placeholder="letters to filter the list", id="filter-typed")
            yield Listing(id="finding-list")
        with Aside("Finding"):
            yield Line(id="finding-page")

    @property
    def options(self) -> Listing:
        """The list."""
        return self.query_one("#finding-list", Listing)

    def on_mount(self) -> None:
        """The input shows only while it is typed into."""
        super().on_mount()
        self.query_one("#filter-typed", Input).display = False

    @property
    def main(self) -> Widget:
        """The list."""
        return self.options

    def aim_at(self, key: str) -> None:
        """Mark a finding, whatever the filter was."""
        self._filter, self._marked = Filter(), key
        self.query_one("#filter-typed", Input).value = ""
        self.show()

    @property
    def finding(self) -> Finding | None:
        """The marked finding."""
        at = self.options.highlighted
        return self._listed[at] if at is not None and at < len(self._listed) else None

    @property
    def spot(self) -> Spot | None:
        """What the chosen finding is about, in its document."""
        finding, known = self.finding, self.session.library.documents
        if finding in self.session.problems:
            return Spot(self.session.copy.loaded.name_of(finding))
        return finding.spot if finding is not None and finding.spot.document in known else None

    def show(self) -> None:
        """List the findings as they are now; the marked one stays marked if it is still there."""
        session = self.session
        found = filter_findings(
            session.all_findings, self._filter, session.findings, session.describe
        )
        self._listed = found[:MOST_LISTED]
        rest = f"… {len(found) - MOST_LISTED} more; filter the list to see them"
        if not found and session.checked is None:
            rest = "Checking …"
        elif not found:
            rest = "Nothing passes this filter." if session.all_findings else "No findings."
        elif len(found) <= MOST_LISTED:
            rest = ""
        before, lines = self.options.highlighted or 0, []
        for finding in self._listed:
            words = session.describe(finding)
            if finding in session.problems and finding.place:
                words = f"{self._name_place(finding.place).rpartition('/')[2]}: {words}"
            lines.append(f"{SIGNS[finding.severity]} {words}")
        keys = [key_of_finding(finding) for finding in self._listed]
        at = keys.index(self._marked) if self._marked in keys else min(before, len(keys) - 1)
        self.options.fill(lines, at if keys else None, rest)
        own, accepted = self._filter.only_mine, len(session.accepted)
        words = f"{count(len(found), 'finding')}{': ' if own else ', '}{self._filter}"
        words = f"{'' if own else 'Library: '}{words}{f'; {accepted} accepted' if accepted else ''}"
        if session.problems:
            files = {
                problem.place.file if problem.place else problem.subject
                for problem in session.problems
            }
            many = f"{count(len(session.problems), 'problem')} in {count(len(files), 'file')}"
            in_use = session.library.devices
            left = "All other files are in use." if in_use else "No device is left."
            words = f"{many}, Enter edits one. {left}\n{words}"
        self.query_one("#filter-said", Line).say(words)
        self._show_page()

    def on_option_list_option_highlighted(self) -> None:
        """Explain the marked finding."""
        self._marked = key_of_finding(self.finding) if self.finding else ""
        self._show_page()

    def on_option_list_option_selected(self) -> None:
        """Enter or a click shows the finding on the plate, or the lines of its file to correct."""
        if self.finding in self.session.problems:
            self.app.action_form()
        else:
            start_work(self, self.action_go)

    def _show_page(self) -> None:
        """Show all about the marked finding, and what fixes it once that is worked out."""
        finding, page, session = self.finding, self.query_one("#finding-page", Line), self.session
        library, before, copy = session.library, session.all_findings, session.copy
        is_clear = session.checked is library and not before
        clear = session.next_step or "Nothing to fix: 4 prints sheets, 7 tests the box."
        page.say("\n".join(self._page_lines(finding, None)) if finding else clear * is_clear)
        self._fix = None
        if finding is None or session.checked is not library:
            return

        def find() -> Edit | None:
            """The one change that fixes the finding, if it brings nothing as bad."""
            worker, edit = get_current_worker(), find_remedy(library, finding, copy.problems)

            def stop(_done: int, _of: int) -> None:
                if worker.is_cancelled:
                    raise StoppedError

            try:
                trial = self.app.call_from_thread(copy.trial, edit.change) if edit else None
            except EditError:
                trial = None
            return edit if trial and prove(finding, trial, before, stop) is not None else None

        def take(edit: Edit | None) -> None:
            if edit and library is session.library and finding == self.finding:
                self._fix = edit
                page.say("\n".join(self._page_lines(finding, edit)))

        self.app.compute(self, find, take, "remedy")

    def _page_lines(self, finding: Finding, fix: Edit | None) -> list[str]:
        place = self.session.copy.place_of(finding)
        where = self._name_place(place) if place else "no file"
        words = self.session.describe(finding)
        lines = [f"{finding.severity}: {words}", f"Do: {self.session.advise(finding)}"]
        names = self.session.names_of(*documents_of(finding))
        lines += [f"r fixes it: {name_ids(fix.words, names)}"] if fix else []
        is_problem = finding in self.session.problems  # of a file, whose document is not known
        lines += ["", *([] if is_problem else [f"About {name_spot(names, finding.spot)}"])]
        lines.append(f"In {where}")
        for related in finding.related:
            at = self._name_place(related.place) if related.place and is_problem else ""
            at = at or name_spot(names, related.spot)
            lines.append(f"  {name_ids(related.message, names)}: {at}")
        page = find_page(finding.code)
        if page is None:
            return [*lines, "", finding.code]
        lines += ["", f"{page.code}: {page.title}", "", page.what, "", page.why]
        lines += ["", "Example:", *page.example.split("\n"), "", page.remedy]
        return [*lines, "", f"Source: {page.source}"] if page.source else lines

    def _name_place(self, place: Place) -> str:
        """File and line, the file as seen from the library's folder."""
        path, folder = Path(place.file), self.session.copy.loaded.folder
        shown = path.relative_to(folder) if path.is_relative_to(folder) else path
        return f"{shown}:{place.line}" if place.line else str(shown)

    def action_fix(self) -> None:
        """Fix the marked finding, if a single change does."""
        busy = any(
            task.is_running and task.group in ("check", "remedy") for task in self.app.workers
        )
        if self._fix is not None:
            self.app.apply(self._fix)
        elif busy:
            self.app.tell("Still checking; press r again in a moment.")
        else:
            self.app.tell("No automatic fix; see the advice on the right.")

    def action_accept(self) -> None:
        """Write into the settings why this finding is accepted."""
        finding = self.finding
        if finding is None:
            return
        if finding in self.session.problems:
            self.app.tell("A file that cannot be read cannot be accepted; fix it.")
            return

        def check(found: dict[str, str]) -> str | None:
            return None if found["reason"].strip() else "Give a reason; it is kept in the settings."

        title = f"Accept: {self.session.describe(finding)}"
        hint = "The reason goes into platebook.toml. Enter accepts, Escape cancels."
        self.app.ask(
            Ask(title, {"reason": ""}, hint=hint, check=check),
            lambda found: self.app.apply(accept(finding, found["reason"])._replace(words=title)),
        )

    async def action_go(self) -> None:
        """Show the marked finding's control on the plate."""
        if self.finding is not None:
            await self.app.jump(self.finding)

    @refusable
    def action_file(self) -> None:
        """Show the marked finding's line in its file."""
        finding, copy = self.finding, self.session.copy
        place = copy.place_of(finding) if finding else None
        if finding is None or place is None:
            none = "No finding is marked." if finding is None else "This finding is in no file."
            raise EditError(none)
        at = place.line or 1
        lines = [
            f"{'>' if number == at else ' '} {number:>4}  {words}"
            for number, words in enumerate(copy.text_at(finding).splitlines(), 1)
            if abs(number - at) <= 12
        ]
        self.app.push_screen(Read(self._name_place(place), lines))

    def action_worst(self) -> None:
        """Show errors only, errors and warnings, or all."""
        self._filter = replace(self._filter, threshold=ROUND[self._filter.threshold])
        self.show()

    def action_mine(self) -> None:
        """Show only what is about the chosen profile and device, or all."""
        self._filter = replace(self._filter, only_mine=not self._filter.only_mine)
        self.show()

    def action_words(self) -> None:
        """Type letters to filter the list."""
        typed = self.query_one("#filter-typed", Input)
        typed.display = True
        typed.focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter the list by what is typed."""
        self._filter = replace(self._filter, words=event.value.strip())
        self.show()

    def on_input_submitted(self) -> None:
        """Go back to the list."""
        self.action_list()

    def action_list(self) -> None:
        """Go back to the list; its filter stays until the letters are removed."""
        typed = self.query_one("#filter-typed", Input)
        typed.display = bool(typed.value)
        self.options.focus()


def key_of_finding(finding: Finding) -> str:
    """What a finding is known by, also after others were found."""
    return f"{finding.code} {finding.subject} {finding.message}"
