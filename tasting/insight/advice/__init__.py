"""What to do next: forecasts, the most informative session, the version to aim at."""
