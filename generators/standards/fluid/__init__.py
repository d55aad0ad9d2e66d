"""Hoses, bulkhead fittings and cylinder bores."""
