"""Kilns and plants: what sources say of them, and what is reckoned from it.

These are reckonings for history. They say nothing of how a kiln is built, lit or run.
"""
