"""The pour sheet, for whoever fills the cups."""
