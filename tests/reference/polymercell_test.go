package reference_test

import "math"

// polymer is the published polymer lithium-ion cell of M. Chen, G. A.
// Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 504-511 (2006), doi
// 10.1109/TEC.2006.874229: an open-circuit voltage, a resistor and two
// resistor-capacitor pairs, all functions of charge, for a cell of 0.85 Ah.
// Coefficients read in three independent public codes that cite the paper.
//
// Traps: the quadratic term of the voltage is negative (copies with a plus
// sign exist); the fit is full at 4.1029 V, not 4.2 V; below a charge of 0.0112
// the long capacitor is negative, so the charge is held to 0.012.
type polymer struct {
	ah        float64
	quadratic float64 // −0.1178 V
}

func newPolymer() polymer { return polymer{ah: 0.85, quadratic: -0.1178} }

func polymerPaper() source {
	return source{"Chen & Rincon-Mora, IEEE Trans. Energy Conversion 21(2) (2006)", code}
}

func (p polymer) voc(s float64) float64 {
	return -1.031*math.Exp(-35*s) + 3.685 + 0.2156*s + p.quadratic*s*s + 0.3201*s*s*s
}

func held(s float64) float64 { return max(s, 0.012) }

func (polymer) rSeries(s float64) float64 { return 0.1562*math.Exp(-24.37*held(s)) + 0.07446 }
func (polymer) rShort(s float64) float64  { return 0.3208*math.Exp(-29.14*held(s)) + 0.04669 }
func (polymer) cShort(s float64) float64  { return -752.9*math.Exp(-13.51*held(s)) + 703.6 }
func (polymer) rLong(s float64) float64   { return 6.603*math.Exp(-155.2*held(s)) + 0.04984 }
func (polymer) cLong(s float64) float64   { return -6056*math.Exp(-27.12*held(s)) + 4475 }

// ohm is the resistance at direct current, many time constants after a step.
func (p polymer) ohm(s float64) float64 { return p.rSeries(s) + p.rShort(s) + p.rLong(s) }

func (p polymer) coulomb() float64 { return p.ah * 3600 }

// inverse is the charge at which the rested cell shows u volts, by bisection.
func (p polymer) inverse(u float64) float64 {
	low, high := 0.0, 1.0
	for range 60 {
		if mid := (low + high) / 2; p.voc(mid) < u {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// cellState is a charge and the voltages of the two pairs, positive while
// charging.
type cellState struct{ s, short, long float64 }

func (a cellState) plus(b cellState, h float64) cellState {
	return cellState{a.s + h*b.s, a.short + h*b.short, a.long + h*b.long}
}

// slope is the time derivative of a state under the charge current amp.
func (p polymer) slope(x cellState, amp float64) cellState {
	return cellState{
		amp / p.coulomb(),
		(amp - x.short/p.rShort(x.s)) / p.cShort(x.s),
		(amp - x.long/p.rLong(x.s)) / p.cLong(x.s),
	}
}

// step advances a state by h seconds by the classical fourth-order Runge-Kutta
// method; current gives the charge current in a state.
func (p polymer) step(x cellState, h float64, current func(cellState) float64) cellState {
	k1 := p.slope(x, current(x))
	x2 := x.plus(k1, h/2)
	k2 := p.slope(x2, current(x2))
	x3 := x.plus(k2, h/2)
	k3 := p.slope(x3, current(x3))
	x4 := x.plus(k3, h)
	k4 := p.slope(x4, current(x4))
	return x.plus(k1, h/6).plus(k2, h/3).plus(k3, h/3).plus(k4, h/6)
}

func (p polymer) terminal(x cellState, amp float64) float64 {
	return p.voc(x.s) + x.short + x.long + amp*p.rSeries(x.s)
}

// charged is a constant-current, constant-voltage charge of the cell.
type charged struct{ constantCurrentS, constantVoltageS, coulombs float64 }

// charge charges the rested cell from charge s at amp to endV, then holds endV
// until the current is down to taper, in steps of h seconds. The two moments at
// which a phase ends are found within a step by linear interpolation.
func (p polymer) charge(s, amp, endV, taper, h float64) charged {
	x := cellState{s: s}
	var out charged
	constant := func(cellState) float64 { return amp }
	for {
		next := p.step(x, h, constant)
		v0, v1 := p.terminal(x, amp), p.terminal(next, amp)
		if v1 >= endV {
			part := (endV - v0) / (v1 - v0)
			x = p.step(x, h*part, constant)
			out.constantCurrentS += h * part
			break
		}
		x = next
		out.constantCurrentS += h
	}
	hold := func(x cellState) float64 { return (endV - p.voc(x.s) - x.short - x.long) / p.rSeries(x.s) }
	for {
		next := p.step(x, h, hold)
		i0, i1 := hold(x), hold(next)
		if i1 <= taper {
			part := (i0 - taper) / (i0 - i1)
			x = p.step(x, h*part, hold)
			out.constantVoltageS += h * part
			break
		}
		x = next
		out.constantVoltageS += h
	}
	out.coulombs = (x.s - s) * p.coulomb()
	return out
}

// runTime is how long the full, rested cell gives amp until cutoff, in seconds.
func (p polymer) runTime(amp, cutoff, h float64) float64 {
	x := cellState{s: 1}
	constant := func(cellState) float64 { return -amp }
	for t := 0.0; ; t += h {
		next := p.step(x, h, constant)
		v0, v1 := p.terminal(x, -amp), p.terminal(next, -amp)
		if v1 <= cutoff {
			return t + h*(v0-cutoff)/(v0-v1)
		}
		x = next
	}
}
