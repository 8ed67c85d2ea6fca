"""What the doors share: the working copy, fixes, files written, sheets printed, the press run.

| module | what it does |
|---|---|
| `copy` | a working copy of the library: edits, undo, redo, save, changes from outside |
| `checking` | a library checked, or recalled where none of its files changed |
| `contents` | bytes of a file, and what is wrong with them |
| `beginning` | new documents in the working copy, and what is still missing for a whole box |
| `forms` | every key of a document: what may be chosen, and each change as an edit |
| `remembered` | the look, and where the user was in each library |
| `recovery` | unsaved work kept beside the library; changes from outside noticed |
| `edits`, `controls` | the edits of a profile, and of a device with their effect on profiles |
| `bulk` | the edits of many controls at once |
| `judge` | what a change does to the findings of a profile |
| `remedies` | which findings one step puts right, and how |
| `outputs` | files written, never over what is not ours |
| `every_sheet` | every sheet of a library into a folder, or only those that changed |
| `changes`, `changes_report` | what lies between two states of a library, and what it asks for |
| `drift` | a profile against its application's own settings file |
| `bundling`, `handing_over` | profiles with all they need in one file; page and booklet of a box |
| `binding_session` | how far the bindings in an application itself have come |
| `press`, `press_boxes`, `press_show` | a press test, what controls do and a quiz at the real box |
| `recordings` | where a library keeps its recordings, and which there are of a box |
| `press_learn`, `press_new` | input numbers learnt by pressing; a box without a file described so |
| `press_report` | the report of a test as files |
| `lookup` | typed letters against names |
"""
