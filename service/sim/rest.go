package sim

import "math"

// Rest is one series group at rest: what stays connected to it, and what it
// loses by itself. Its charge z falls by
//
//	dz/dt = −I/Q − λ·max(z, held)
//
// because how self-discharge falls off toward empty is not published, and held at
// its value there it is on the safe side.
type Rest struct {
	Charge   float64 // state of charge at the start, 0 to 1; below 0 when deeply discharged
	Coulomb  float64 // capacity
	AmpA     float64 // what stays connected draws
	LeakPerS float64 // λ, above 0
	Held     float64 // charge below which self-discharge is held, 0 to 1
}

// Seconds is the time until the charge is down to z, 0 where it is there already.
// Above held the solution is an exponential, below it a straight line:
//
//	t = ln((z0 + a/λ)/(z1 + a/λ))/λ,  t = (z0 − z1)/(a + λ·held),  a = I/Q
func (r Rest) Seconds(z float64) float64 {
	if z >= r.Charge {
		return 0
	}
	a := r.AmpA / r.Coulomb
	above0, above1 := max(r.Charge, r.Held), max(z, r.Held)
	below0, below1 := min(r.Charge, r.Held), min(z, r.Held)
	// The logarithm of a ratio near 1, without losing its digits.
	curved := math.Log1p((above0-above1)/(above1+a/r.LeakPerS)) / r.LeakPerS
	return curved + (below0-below1)/(a+r.LeakPerS*r.Held)
}

// After is the charge after a time in seconds.
func (r Rest) After(seconds float64) float64 {
	a := r.AmpA / r.Coulomb
	z := r.Charge
	if z > r.Held {
		above := r.Seconds(r.Held)
		if seconds <= above {
			s := a / r.LeakPerS
			return z + (z+s)*math.Expm1(-r.LeakPerS*seconds)
		}
		seconds, z = seconds-above, r.Held
	}
	return z - (a+r.LeakPerS*r.Held)*seconds
}
