"""Builds, serves, packs and measures the guide. Started through tools/guide.py."""
