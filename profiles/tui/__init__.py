"""The screen: a skin over the functions that the commands use; no rule of the trade lives here.

Without the toolkit, and pure but for files:

| module | what it does |
|---|---|
| `desk` | a working copy of the library: edits, undo, redo, save, changes from outside |
| `recovery` | unsaved work kept in a file beside the library |
| `bindings`, `controls` | the edits of a profile, and of a device with their effect on profiles |
| `facts` | what one control and one contact are in the chosen profile |
| `remedies` | which findings one keystroke puts right, and how |
| `viewport`, `canvas` | the plate as cells: where it is looked at, and what is drawn |
| `lookup` | typed letters against names |
| `titles`, `wires`, `printing` | tables of titles, the matrix and harness, sheets to files |
| `press_words` | a box tested or shown, or its recording, in words and signs |
| `session` | what is looked at: desk, device, profile, control, findings |
| `judge`, `panel`, `filters`, `copying`, `jumps`, `watch` | small questions of one view each |

With it: `run` starts and ends it, `app` holds it together, `frame` stands around every view,
`plate_canvas` draws the plate, one `*_pane` a view, `dialogs` and `asking` ask, `help` tells the
keys, `themes` the looks; `press_face` and `press_asking` belong to `press_pane`; `pictures` writes
screens as SVG.
"""
