"""Data beside the pages: each identifier in three formats, the whole, and what describes it."""
