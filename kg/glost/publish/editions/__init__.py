"""Editions: the whole collection as it stood on a day, named, never changed, and proved by sums."""
