"""What the world sees: exports of the record."""
