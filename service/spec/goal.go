package spec

// Goal says how fast to charge: at most one of its fields is given, and
// without any the pace is everyday.
type Goal struct {
	// Pace chooses a rate: gentle 0.5 C, everyday 1 C, quick the label's limit.
	Pace Pace `json:"pace,omitempty" validate:"omitempty,enum"`
	// CurrentA asks for a charge current in amperes, 0.001 to 1000.
	CurrentA *float64 `json:"current_a,omitempty" validate:"omitempty,gte=0.001,lte=1000"`
	// ReadyInMin asks for the lowest current that is surely done in this many minutes, 1 to 10,080.
	ReadyInMin *float64 `json:"ready_in_min,omitempty" validate:"omitempty,gte=1,lte=10080"`
}

// Check reports a goal at the JSON Pointer at that asks for two things.
func (g *Goal) Check(at string, r *Report) {
	n := 0
	if g.Pace != "" {
		n++
	}
	if g.CurrentA != nil {
		n++
	}
	if g.ReadyInMin != nil {
		n++
	}
	if n > 1 {
		r.Add(at, "one-goal", "pace, current_a and ready_in_min each set how fast to charge; keep one and leave the others out")
	}
}
