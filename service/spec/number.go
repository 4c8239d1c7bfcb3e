package spec

import (
	"math"
	"strconv"
)

// Plain writes a number as a person writes it in a form: no exponent, no
// trailing zeros, at most nine significant digits.
func Plain(x float64) string { return strconv.FormatFloat(Round9(x), 'f', -1, 64) }

// Round9 rounds to 9 significant digits, half away from zero. Answers are
// rounded with it once, where they are assembled.
func Round9(x float64) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	e := 8 - int(math.Floor(math.Log10(math.Abs(x))))
	// Powers of ten are exact in a double up to 1e22, so multiplying and
	// dividing by one gives the double nearest to the decimal.
	switch {
	case e > 22:
		return 0 // below 1e-14: nothing in an answer is that small but noise
	case e >= 0:
		p := math.Pow10(e)
		return math.Round(x*p) / p
	case e >= -22:
		p := math.Pow10(-e)
		return math.Round(x/p) * p
	}
	return x
}
