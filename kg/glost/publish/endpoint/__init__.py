"""The endpoint: a published site over HTTP, its identifiers, and SPARQL for anyone who asks."""
