"""What is shown: reports as trees of grounded statements, and what they look like."""
