"""`python -m bodycad`."""

import sys

from bodycad.cli import main

if __name__ == "__main__":
    sys.exit(main())
