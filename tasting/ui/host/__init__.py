"""Data and help: what goes out and in, what is erased, and what the program can be held to."""
