"""Running a session: links, progress, paper, corrections, closing."""
