package spec

// Duration is a time in minutes as an honest range.
type Duration struct {
	// ExpectedMin is the expected time in minutes.
	ExpectedMin float64 `json:"expected_min" validate:"gte=0,lte=10000000000"`
	// LowMin is the shortest time, in minutes, that the uncertainty of the inputs allows.
	LowMin float64 `json:"low_min" validate:"gte=0,lte=10000000000"`
	// HighMin is the longest time, in minutes, that the uncertainty of the inputs allows.
	HighMin float64 `json:"high_min" validate:"gte=0,lte=100000000000"`
	// Drivers lists what widens the range, the most important first.
	Drivers []Driver `json:"drivers" validate:"max=32"`
}

// Driver is one input that widens a range.
type Driver struct {
	// Field is the JSON Pointer into the request of the measurement that would narrow the range.
	Field string `json:"field" validate:"max=256" format:"json-pointer"`
	// WidensMin is by how many minutes what is not known of this input could lengthen the time of a charge, or shorten that of a run; or shorten that of a charge whose longest is assumed already.
	WidensMin float64 `json:"widens_min" validate:"gte=0,lte=100000000000"`
	// Measure says what to measure.
	Measure string `json:"measure" validate:"max=500"`
}

// SortDrivers puts those that widen most first; equals keep their order. They are
// few, and this asks for no memory.
func SortDrivers(d []Driver) {
	for i := 1; i < len(d); i++ {
		for j := i; j > 0 && d[j].WidensMin > d[j-1].WidensMin; j-- {
			d[j], d[j-1] = d[j-1], d[j]
		}
	}
}
