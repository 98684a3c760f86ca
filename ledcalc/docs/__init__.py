"""The reference pages, made from the schema and the rules, so that they cannot differ from what the code does."""
