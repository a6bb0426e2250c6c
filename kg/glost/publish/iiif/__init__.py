"""Sources as IIIF Presentation 3.0: page images with what was read where."""
