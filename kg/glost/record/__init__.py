"""What the sources say: tables and TriG in, claims out."""
