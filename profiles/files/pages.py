"""What `explain` shows for the codes of unusable files: data for the registry of the checks."""

from profiles.model.finding import Page

PAGES: tuple[Page, ...] = (
    Page(
        "unreadable-file",
        "error",
        "A file cannot be read",
        "The file is missing, may not be read, is a folder, a pipe or a link that leads nowhere "
        "or in a circle.",
        "Whatever it holds is not part of the library, so profiles that name it hang loose.",
        "`helm.toml` is a link to a file that has been moved away.",
        "Put the file back, allow yourself to read it, or remove the link.",
    ),
    Page(
        "too-large",
        "error",
        "A file is larger than any real one",
        "Files above 2 MB, or of more than 40,000 values, are not read. A profile of sixty "
        "bindings has about three thousand bytes.",
        "A file of this size is most likely something else under our suffix, and reading it "
        "would take time and memory for nothing.",
        "A log of 50 MB was saved as `log.json` in the library.",
        "Move the file out of the library, or split it: one device, application, profile or board "
        "each.",
    ),
    Page(
        "not-utf-8",
        "error",
        "A file is not UTF-8 text",
        "All three formats are read as UTF-8, with or without a byte order mark. The place is "
        "the first byte that does not fit.",
        "Read in the wrong encoding, letters beyond plain English would print as others.",
        'An older editor saved `label = "Łódź"` in a Windows encoding.',
        "Save the file again as UTF-8 in your editor.",
    ),
    Page(
        "broken-syntax",
        "error",
        "A file breaks the rules of its format",
        "The text is not valid TOML, YAML or JSON from this place on, or is not a table of keys.",
        "Nothing after the place can be trusted, so nothing of the file is used.",
        "`label = HORN`: text stands in quotes in TOML.",
        "Correct the text at the place shown; often a quote, comma or bracket is missing before "
        "it.",
    ),
    Page(
        "too-deep",
        "error",
        "Tables or lists nest too deep",
        "A file nests tables or lists within each other by more than 64 levels.",
        "No part of a box needs more than seven; such a file is made to exhaust a reader.",
        "`a = [[[[[[ ... ]]]]]]`, a hundred times.",
        "Flatten the file.",
    ),
    Page(
        "repeated-key",
        "error",
        "A key stands twice in one table",
        "One table gives the same key two values.",
        "Readers differ in which of the two they take, so one of them would be lost unseen.",
        '`horn = "sound-horn"` and, further down, `horn = "fog-signal"`.',
        "Remove one of the two; to bind two actions, write a list.",
    ),
    Page(
        "yaml-shortcut",
        "error",
        "A YAML file uses anchors, aliases, merge keys or tags",
        "YAML can name a piece and repeat it elsewhere, merge tables, and tag values with types. "
        "None of this is read here.",
        "A piece that stands in two places cannot be shown, changed or converted as one, and a "
        "short file of aliases can unfold to more than a memory holds.",
        "`press: &big {hole: 16.2}` and later `horn: *big`.",
        "Write the content out at each place; put text in quotes instead of tagging it.",
    ),
    Page(
        "foreign-value",
        "error",
        "A value that not every format can carry",
        "Dates, nothing at all (null), infinite numbers, whole numbers beyond 64 bits and keys "
        "that are not text are refused.",
        "The same file in TOML, YAML and JSON must mean the same.",
        "`note = 2024-05-01` without quotes is a date in TOML.",
        "Put the value in quotes to make it text, or leave the key out.",
    ),
    Page(
        "missing-key",
        "error",
        "A key that must be there is not",
        "A table lacks a key without which it means nothing, or the file lacks `format` or the "
        "table that tells what it holds.",
        "There is no safe guess: a hole without a diameter cannot be drilled.",
        "`[controls.horn]` without `hole`.",
        "Add the key that is named.",
    ),
    Page(
        "unknown-key",
        "error",
        "A key that Platebook does not know",
        "A table holds a key that is not part of the format.",
        "Mostly it is a slip of the fingers, and what was meant would be ignored.",
        '`lable = "HORN"` instead of `label`.',
        "Correct the spelling, or remove the key; free words belong into `note`.",
    ),
    Page(
        "wrong-value",
        "error",
        "A value does not fit its key",
        "The value is of another kind than the key takes, beyond its bounds, or breaks a rule of "
        "its table.",
        "Nothing of the file is used until it is right, so that no sheet shows half a box.",
        '`hole = "16.2"`: a number stands without quotes.',
        "Write a value of the kind that is named.",
    ),
    Page(
        "newer-format",
        "error",
        "A file of a newer format",
        "`format` is above the number that this Platebook reads.",
        "Keys may mean something else there, so nothing is guessed.",
        "`format = 2`.",
        "Update Platebook.",
    ),
    Page(
        "mixed-kinds",
        "error",
        "One file holds several kinds",
        "A file holds more than one of the tables `device`, `application`, `profile` and `board`.",
        "Files are shared, replaced and compared one thing at a time.",
        "`[device]` and `[profile]` in one file.",
        "Give each a file of its own.",
    ),
    Page(
        "repeated-id",
        "error",
        "One id is given twice in the library",
        "Two files give their device, application, profile or board the same id.",
        "A name must lead to one thing; only the first file, in the order of their paths, is used.",
        'A copy of `helm.toml` was changed but kept `id = "helm-desk"`.',
        "Give each an id of its own, or move the copy out of the library.",
    ),
    Page(
        "more-problems",
        "error",
        "A file has more problems than are shown",
        "Problems of one file are shown one by one up to a hundred.",
        "They tend to have one cause, and a list without end hides it.",
        "A spreadsheet was pasted into a file.",
        "Mend the first ones and check again.",
    ),
)
"""One page a code, in the order in which reading a file meets them."""
