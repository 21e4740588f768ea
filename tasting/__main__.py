"""`python -m tasting` is the same as `tasting`."""

from tasting.cli import main

main()
