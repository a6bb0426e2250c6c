"""The desk: the record kept in a browser, on one's own machine and nobody else's."""
