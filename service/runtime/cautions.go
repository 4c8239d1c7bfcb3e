package runtime

// cautions is what to watch with any run.
func cautions(lithium bool) []string {
	list := []string{
		"These figures are a prediction, not a setting; the instructions of the pack, the speed controller and the model supersede them.",
		"Try the first run at a fraction of the time, then count what a charger puts back: that tells more than any estimate.",
		"Stop at once when the model slows down, an alarm sounds, or the pack swells, smells or is too hot to hold.",
		"Let the pack cool to the temperature of the room before it is charged again.",
	}
	if lithium {
		return append(list, "Disconnect the pack after the run: a controller or an alarm left connected empties it below the voltage from which it may be charged.")
	}
	return append(list, "Watch for the moment the model slows down: in a nimh pack the weakest cell is then empty, and the others begin to drive it backward.")
}
