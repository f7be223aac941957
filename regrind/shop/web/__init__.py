"""What every page has: middleware, context, error pages, drawings."""
