package spec

// Duration is a time in minutes as an honest range.
type Duration struct {
	// ExpectedMin is the expected time in minutes.
	ExpectedMin float64 `json:"expected_min"`
	// LowMin is the shortest time, in minutes, that the uncertainty of the inputs allows.
	LowMin float64 `json:"low_min"`
	// HighMin is the longest time, in minutes, that the uncertainty of the inputs allows.
	HighMin float64 `json:"high_min"`
	// Drivers lists what widens the range, the most important first.
	Drivers []Driver `json:"drivers"`
}

// Driver is one input that widens a range.
type Driver struct {
	// Field is the JSON Pointer into the request of the measurement that would narrow the range.
	Field string `json:"field"`
	// WidensMin is by how many minutes what is not known of this input could lengthen the time, or, where the longest is assumed already, shorten it.
	WidensMin float64 `json:"widens_min"`
	// Measure says what to measure.
	Measure string `json:"measure"`
}
