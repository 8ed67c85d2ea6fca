"""`python -m profiles` is the command line."""

from profiles.cli.main import main

if __name__ == "__main__":
    main()
