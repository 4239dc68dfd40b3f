"""``python -m triage_app`` is the command line."""

import sys

from triage_app.cli import main

if __name__ == "__main__":
    sys.exit(main())
