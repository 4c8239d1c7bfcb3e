package cell

// Estimate is a value with the range it may lie in.
type Estimate struct{ Low, Expected, High float64 }

// spread is x with a range from low to high times x.
func spread(x, low, high float64) Estimate { return Estimate{x * low, x, x * high} }

// Pick chooses one value of an Estimate.
type Pick int

// The three values of an Estimate.
const (
	Expected Pick = iota
	Low
	High
)

// At returns the picked value.
func (e Estimate) At(p Pick) float64 {
	switch p {
	case Low:
		return e.Low
	case High:
		return e.High
	}
	return e.Expected
}
