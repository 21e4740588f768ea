"""Printable and tabular reports: pour sheet, table of answers."""
