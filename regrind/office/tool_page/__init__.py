"""The page of a followed tool, opened by the code on its label without a sign-in."""
