package sim

import "math"

// powerCurrent is the current at which a pack of open-circuit voltage e and
// resistance r takes p watts: the positive root of e·I + r·I² = p, in the form
// that does not cancel.
func powerCurrent(e, r, p float64) float64 {
	return 2 * p / (e + math.Sqrt(e*e+4*r*p))
}

// powerSeconds is the time in which x coulombs pass at constant power p, where
// the open-circuit voltage rises from e0 by e1 a coulomb:
//
//	t = ∫ dq/I = 1/(2p) ∫ (e + √(e² + a²)) dq,  a² = 4rp,  de = e1·dq
//	  = [e²/2 + (e·√(e²+a²) + a²·asinh(e/a))/2] / (2p·e1)
func powerSeconds(e0, e1, r, p, x float64) float64 {
	if e1*x <= 1e-9*e0 {
		return x / powerCurrent(e0+e1*x/2, r, p) // too short to part from its middle
	}
	a := 2 * math.Sqrt(r*p)
	return (rootIntegral(e0, e0+e1*x, a) + e1*x*(2*e0+e1*x)/2) / (2 * p * e1)
}

// powerSquare is ∫ I² dt = ∫ I dq over the same stretch; times the resistance
// it is heat. With I = (√(e² + a²) − e)/(2r) the integral is the same pair of
// terms, the second with the other sign.
func powerSquare(e0, e1, r, p, x float64) float64 {
	if e1*x <= 1e-9*e0 {
		return x * powerCurrent(e0+e1*x/2, r, p)
	}
	a := 2 * math.Sqrt(r*p)
	return (rootIntegral(e0, e0+e1*x, a) - e1*x*(2*e0+e1*x)/2) / (2 * r * e1)
}

// rootIntegral is ∫ √(e² + a²) de from e0 to e1.
func rootIntegral(e0, e1, a float64) float64 {
	f := func(e float64) float64 {
		return (e*math.Hypot(e, a) + a*a*math.Asinh(e/a)) / 2
	}
	return f(e1) - f(e0)
}

// powerCharge is the inverse of powerSeconds for a time t within the piece p:
// Newton's method on a function that rises and bends little.
func powerCharge(p *Piece, ohm, power, t float64) float64 {
	x := p.Coulombs * t / p.Seconds
	for range 20 {
		step := (t - powerSeconds(p.e0, p.e1, ohm, power, x)) * powerCurrent(p.e0+p.e1*x, ohm, power)
		x += step
		if math.Abs(step) <= 1e-13*p.Coulombs {
			break
		}
	}
	return min(max(x, 0), p.Coulombs)
}

// powerCrossing is the distance at which the current alpha − beta·x of a held
// voltage meets the power limit, or +Inf. With direction 1 its power must rise
// through the limit, with −1 fall through it.
func powerCrossing(alpha, beta, e0, e1, r, p float64, direction float64) float64 {
	// (e0 + e1·x)(α − βx) + r(α − βx)² − p = A·x² + B·x + C
	qa := (r*beta - e1) * beta
	qb := e1*alpha - e0*beta - 2*r*alpha*beta
	qc := (e0+r*alpha)*alpha - p
	disc := qb*qb - 4*qa*qc
	if disc < 0 {
		return math.Inf(1)
	}
	h := -(qb + math.Copysign(math.Sqrt(disc), qb)) / 2
	best := math.Inf(1)
	for _, x := range [2]float64{h / qa, qc / h} {
		if x > 0 && x < best && (qb+2*qa*x)*direction > 0 {
			best = x
		}
	}
	return best
}
