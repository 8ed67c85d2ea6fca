"""What the doors share: the working copy, fixes, files written, sheets printed, the press run.

| module | what it does |
|---|---|
| `copy` | a working copy of the library: edits, undo, redo, save, changes from outside |
| `recovery`, `watch` | unsaved work kept beside the library; changes from outside noticed |
| `edits`, `controls` | the edits of a profile, and of a device with their effect on profiles |
| `judge` | what a change does to the findings of a profile |
| `remedies` | which findings one step puts right, and how |
| `outputs` | files written, never over what is not ours |
| `press`, `press_boxes`, `press_show` | a press test, what controls do and a quiz at the real box |
| `press_learn`, `press_report` | input numbers learnt by pressing; the report of a test as files |
| `lookup` | typed letters against names |
"""
