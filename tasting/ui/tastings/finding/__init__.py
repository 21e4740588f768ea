"""What one closed session says."""
