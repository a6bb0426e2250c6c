"""Handing a collection over to a bigger store, by the protocols every such store speaks."""
