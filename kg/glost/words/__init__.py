"""What things and statements are called: the one place where words are made."""
