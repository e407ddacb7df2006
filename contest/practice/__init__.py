"""Practices: a class is shown, members place it on their phones, and the coach gives the answer step by step."""
