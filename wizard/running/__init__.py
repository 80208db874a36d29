"""A job under way: its session, what answers each request, what goes before it goes on again."""
