"""What tests and measures the guide, its pins and its tests."""
