package sim

import "math"

// LoweringCurrent is the current at which a pack of open-circuit voltage e and
// resistance r gives p watts: the smaller root of e·I − r·I² = p, in the form
// that does not cancel. Where the pack cannot give p it is +Inf: then power
// limits nothing.
func LoweringCurrent(e, r, p float64) float64 {
	root := e*e - 4*r*p
	if root < 0 {
		return math.Inf(1)
	}
	return 2 * p / (e + math.Sqrt(root))
}

// loweringSeconds is the time in which x coulombs pass at constant power p, where
// the open-circuit voltage falls from e0 by fall a coulomb. With w = e + √(e² − 4rp),
// so that I = 2p/w, and e = a·cosh u, a² = 4rp, w = a·exp u:
//
//	t = ∫ dq/I = [(w0² − w1²)/(8p) − r·ln(w0/w1)] / fall
//
// The terms do not cancel.
func loweringSeconds(e0, fall, r, p, x float64) float64 {
	if fall*x <= 1e-7*e0 {
		return x / LoweringCurrent(e0-fall*x/2, r, p) // too short to part from its middle
	}
	w0, w1 := widened(e0, r, p), widened(e0-fall*x, r, p)
	return ((w0-w1)*(w0+w1)/(8*p) - r*ratioLog(w0, w1)) / fall
}

// loweringIntegrals is that time, and ∫ I² dt = ∫ I dq over the same stretch, in
// the same terms:
//
//	∫ I dq = p·[ln(w0/w1) + 2rp·(1/w0² − 1/w1²)] / fall
func loweringIntegrals(e0, fall, r, p, x float64) (seconds, square float64) {
	if fall*x <= 1e-7*e0 {
		amp := LoweringCurrent(e0-fall*x/2, r, p)
		return x / amp, x * amp
	}
	w0, w1 := widened(e0, r, p), widened(e0-fall*x, r, p)
	log := ratioLog(w0, w1)
	seconds = ((w0-w1)*(w0+w1)/(8*p) - r*log) / fall
	return seconds, p * (log - 2*r*p*(w0-w1)*(w0+w1)/(w0*w0*w1*w1)) / fall
}

// widened is w = e + √(e² − 4rp). The power is one that the pack can give.
func widened(e, r, p float64) float64 {
	square := e*e - 4*r*p
	if square < 0 { // by rounding
		return e
	}
	return e + math.Sqrt(square)
}

// ratioLog is ln(a/b): 2·artanh of (a − b)/(a + b), whose series needs five terms
// where the two are close, as they are on one piece of a curve.
func ratioLog(a, b float64) float64 {
	y := (a - b) / (a + b)
	if math.Abs(y) > 0.02 {
		return math.Log(a / b)
	}
	q := y * y
	return 2 * y * (1 + q*(1.0/3+q*(1.0/5+q*(1.0/7+q*(1.0/9)))))
}

// resistorSeconds is the time in which x coulombs pass through a circuit of
// resistance r, where the voltage falls from e0 by fall a coulomb: the current is
// e/r, so t = r/fall·ln(e0/e1).
func resistorSeconds(e0, fall, r, x float64) float64 {
	if fall*x <= 1e-7*e0 {
		return x * r / (e0 - fall*x/2)
	}
	return r / fall * ratioLog(e0, e0-fall*x)
}

// meanSeconds is ∫ dq/I over x coulombs for a smooth current: Gauss-Legendre with
// five points, exact to rounding on a stretch as short as a piece of the curve
// (M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, table 25.4;
// from memory).
func meanSeconds(mean func(volts, ohm float64) float64, e0, fall, r, x float64) float64 {
	nodes := [5]float64{0, 0.5384693101056831, -0.5384693101056831, 0.9061798459386640, -0.9061798459386640}
	weights := [5]float64{0.5688888888888889, 0.4786286704993665, 0.4786286704993665, 0.2369268850561891, 0.2369268850561891}
	sum := 0.0
	for i, n := range nodes {
		sum += weights[i] / mean(e0-fall*x*(1+n)/2, r)
	}
	return sum * x / 2
}
