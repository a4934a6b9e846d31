"""What can be done to bags, kinds and findings: one transaction each, with its history. Nothing else changes them."""
