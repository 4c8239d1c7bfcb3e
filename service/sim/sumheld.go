package sim

import "github.com/wattkeel/wattkeel/service/cell"

// SumHeld is the rested voltage at which the highest cell ends when a charger
// sees only the whole pack: it holds the sum of the cells at their number times
// endV and stops at the taper, so a cell that is ahead of the others ends above.
func SumHeld(curve *cell.Curve, groups []Group, endV, taperA float64) float64 {
	short := func(q float64) float64 { // how far the sum is below where the charge ends
		s := 0.0
		for _, g := range groups {
			s += g.Count * (endV - taperA*g.Ohm - beyond(curve, g.Charge+q/g.Coulomb))
		}
		return s
	}
	lo, hi := 0.0, 0.0
	for _, g := range groups {
		hi = max(hi, 2*g.Coulomb) // from below empty to far past full
	}
	for range 60 { // bisection to the last bit: the sum only rises with q
		if mid := (lo + hi) / 2; short(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	highest := 0.0
	for _, g := range groups {
		highest = max(highest, beyond(curve, g.Charge+lo/g.Coulomb))
	}
	return highest
}

// LastOfCurve is how far back from full, in charge, the slope is taken at which
// an overcharged cell goes on.
const LastOfCurve = 0.01

// beyond is the open-circuit voltage, continued past full at the slope of the
// curve's last hundredth: what an overcharged cell would show.
func beyond(curve *cell.Curve, z float64) float64 {
	if z <= 1 {
		return curve.Voltage(z)
	}
	return curve.Voltage(1) + (z-1)*(curve.Voltage(1)-curve.Voltage(1-LastOfCurve))/LastOfCurve
}
