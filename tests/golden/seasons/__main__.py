"""python -m tests.golden.seasons"""

import sys

from . import main

main(sys.argv[1:])
