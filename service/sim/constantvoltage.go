package sim

import "math"

// decaySeconds is the time in which x coulombs pass at a held voltage. On a
// linear piece the current is amp − decay·q, so it decays exponentially in
// time and t = −ln(1 − decay·x/amp)/decay; with decay 0 it is constant.
func decaySeconds(amp, decay, x float64) float64 {
	if decay == 0 {
		return x / amp
	}
	return -math.Log1p(-decay*x/amp) / decay
}

// decayCharge is the inverse of decaySeconds.
func decayCharge(amp, decay, t float64) float64 {
	if decay == 0 {
		return amp * t
	}
	return -amp * math.Expm1(-decay*t) / decay
}
