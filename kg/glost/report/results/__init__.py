"""What is worked out of a collection, as reports: each module tells one sort of result."""
