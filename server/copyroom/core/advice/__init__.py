"""Advice: from what a class copied to what it should hear next, and why."""
