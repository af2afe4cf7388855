"""Migrations of the certificates package."""
