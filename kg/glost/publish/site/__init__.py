"""Pages for people: a folder that any web server, or none, can serve."""
