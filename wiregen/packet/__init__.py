"""Packet: all of it bound into pages, tables and the record."""
