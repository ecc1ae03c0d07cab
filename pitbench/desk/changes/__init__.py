"""What every change of the setup log brought: on the bench and on the track, before it and after it."""
