"""One analysis for each kind of question: what its answers weigh, in sentences and in numbers."""
