"""Words to sound: the voice and the loudspeaker. What is said is decided in `wording`, not here."""
