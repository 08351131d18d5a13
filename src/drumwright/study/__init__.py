"""What it means: gates, verdict, assumptions, questions, hazards."""
