"""The sample workshop is what it says it is."""
