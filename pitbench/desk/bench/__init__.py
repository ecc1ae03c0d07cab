"""The bench itself: sessions, the tester, the plan for tonight, timing sweeps."""
