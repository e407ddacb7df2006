"""The pages of joining, of helpers and of superintendents' accounts."""
