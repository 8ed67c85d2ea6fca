"""Files: read, located, validated, edited in place, converted, saved whole.

| module | what it does |
|---|---|
| `library` | a folder read as one library, with every problem in it |
| `folder` | which folder is the library, and which is the user's own |
| `walk`, `kept` | the files below a folder; what was worked out from them before |
| `documents`, `limits` | one file to plain content, guarded against hostile ones |
| `yaml_reader`, `syntax_faults` | YAML by events; what parsers say, in plain words |
| `validate`, `explain`, `expectations` | plain content to the model, refusals in the file's words |
| `unquoted` | one typo of bindings with a fix of its own |
| `places`, `toml_places`, `json_places` | key paths to lines and columns, when asked |
| `faults`, `pages` | what is wrong with a file; the page of each code |
| `edit`, `toml_edit`, `toml_many` | changes in place, every other byte kept |
| `save` | files replaced whole |
| `convert`, `write`, `bindings_csv` | from format to format; bindings to spreadsheets and back |
| `schema`, `keys`, `form` | JSON Schemas made from the model; keys as data; lines of a form |
"""
