"""One module a command, each loaded only when it is called."""
