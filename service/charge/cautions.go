package charge

// cautions is what to watch with any charge. The advice is that of public fire
// bodies (U.S. Fire Administration, U.S. Consumer Product Safety Commission,
// Fire and Rescue NSW, West Yorkshire Fire and Rescue Service).
func cautions(lithium bool) []string {
	list := []string{
		"The pack's and the charger's own instructions supersede this plan; so do local codes, and licensed practice where it applies.",
		"Stay present and awake for the whole charge; never charge while sleeping or out.",
		"Charge in an enclosure that holds fire, on a hard surface that does not burn, away from anything that burns, off the way out, with a smoke alarm in the room.",
		"Stop at once on swelling, smell, smoke, hissing, a cell that runs ahead or lags, or a pack too hot to hold. Disconnect it only if that is safe; otherwise leave, close the door and call the fire service.",
		"Never charge a pack that is damaged, swollen, wet, frozen or still hot from use.",
		"Disconnect the pack when it is full.",
	}
	if lithium {
		return append(list, "If it will not be used within a week, bring it to storage charge.")
	}
	return append(list, "Do not leave a nimh pack on a current above a twentieth of 1 C after it is full.")
}
