"""The command line, as `platebook` and as `python -m profiles`; nobody else imports this.

A stop by hand (SIGINT) says nothing of Python's from the first line on. Before that line Python
starts by itself, and the script that `pip` made for `platebook`; what a stop shows there is theirs.
"""

import os

try:
    import signal

    from profiles.cli.main import main, stop_at_once

    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, stop_at_once)
except KeyboardInterrupt:
    os._exit(130)

if __name__ == "__main__":
    main()
