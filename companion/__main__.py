"""`python -m companion` is `companion`."""

import sys

from companion.cli import main

sys.exit(main())
