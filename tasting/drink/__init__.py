"""What is in the glass: ingredients, formulas, and the physics and chemistry of their mixture."""
