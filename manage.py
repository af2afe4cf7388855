#!/usr/bin/env python3
"""One door to everything: demo, test, install, and Django's own commands."""

import sys

if __name__ == "__main__":
    from training.bootstrap.door import main

    sys.exit(main(sys.argv))
