"""What is said and read in each language, one folder a language."""
