"""Tests that drive Debian's Chromium against the running app."""
