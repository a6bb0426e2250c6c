"""What the trade knows: reckonings a potter's historian makes by eye and memory."""
