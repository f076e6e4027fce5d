"""Review: findings, one small function a rule."""
