"""The screen: a skin over the functions that the commands use; no rule of the trade lives here.

Without the toolkit:

| module | what it does |
|---|---|
| `session` | what is looked at: working copy, device, profile, control, findings |
| `viewport`, `canvas` | the plate as cells: where it is looked at, and what is drawn |
| `ways` | what to do on the screen in place of options of commands |
| `plain_look` | the plate of ordinary files before the model is loaded |
| `heading` | the words above the view |
| `plate_words` | where the words of each control go, whole, or which number stands for them |
| `panel`, `filters` | the chosen control in words; which findings are listed |
| `naming` | findings in the names of controls and actions instead of their ids |
| `wires` | the matrix in words, what goes wrong in it, the harness from behind |
| `printing` | sheets seen and written |
| `press_words` | a box tested or shown, or its recording, in words and signs |

With it: `run` starts and ends it, `app` holds it together, `early_keys` keeps what is
pressed before it is read, `frame` is around every view,
`plate_rows` paints rows of cells, `plate_canvas` the plate, `tables` fills tables, one `*_pane` per
view, `dialogs` and `asking` ask, `fields` asks several questions at once, `beginning` starts new
documents, `learning` describes a box by its use, `form` shows every key of one, `previewing` what a
proposal would change, `renaming` changes ids and deletes documents, `help` lists the keys,
`themes` the looks; `press_face` and
`press_asking` belong to `press_pane`.
"""
