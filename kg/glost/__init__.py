"""A record of ceramic production in which every statement says what it rests on."""

__version__ = "0.1.0"
