"""Formulas and references: recipes, composition, versions, adjusting, batches."""
