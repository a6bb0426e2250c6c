"""The collection as a reconciliation service: Reconciliation Service API, version 0.2.

Edited by the W3C Entity Reconciliation Community Group,
https://reconciliation-api.github.io/specs/0.2/; the sections named in this package are its own.
Version 1.0 was a draft when this was written, and is not served.
"""
