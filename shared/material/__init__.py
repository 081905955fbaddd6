"""Metals, wire gauges, coils, rings and rivets."""
