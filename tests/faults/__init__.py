"""Load and kills: `python -m tests.faults.load` and `.kill` print their figures."""
