"""What people ask: named questions, SPARQL and findings."""
