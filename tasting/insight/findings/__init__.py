"""What closed sessions say: counts, evidence, sentences and their limitations."""
