"""The actual hoses and pipes from pump to destination."""
