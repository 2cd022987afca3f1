"""What to change: ordinary changes of a build, each tried alone by the full model, and ranked."""
