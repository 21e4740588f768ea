"""Sessions from the plan to the finding."""
