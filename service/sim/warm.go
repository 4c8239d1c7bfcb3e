package sim

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
)

// Warmth is how warm a pack gets.
type Warmth struct {
	PeakDegC float64
	EndDegC  float64

	lump       cell.Thermal
	ohm, power float64 // of the charge
}

// Warm follows the temperature of the pack through the charge: the exact
// solution of m·c·dT/dt = P − h·A·(T − T_ambient) on each piece, for the heat
// P that stays constant at constant current, decays with the square of the
// current at constant voltage, and follows the current at constant power.
func Warm(c *Charge, lump cell.Thermal) Warmth {
	w := Warmth{PeakDegC: lump.StartDegC, lump: lump, ohm: c.ohm, power: c.power}
	temp := lump.StartDegC
	rising := func(heatW, temp float64) bool { return heatW > lump.ConductanceWK*(temp-lump.AmbientDegC) }
	for i := range c.Pieces {
		p := &c.Pieces[i]
		p.TempDegC0 = temp
		start := rising(p.HeatW0, temp)
		temp = w.At(p, p.Seconds)
		if start && !rising(p.HeatW1, temp) {
			w.PeakDegC = max(w.PeakDegC, w.At(p, min(max(w.turn(p), 0), p.Seconds)))
		}
		w.PeakDegC = max(w.PeakDegC, temp)
	}
	w.EndDegC = temp
	return w
}

// At is the temperature t seconds into a piece.
func (w *Warmth) At(p *Piece, t float64) float64 {
	k := 1 / w.lump.TimeConstant()
	own := (p.TempDegC0 - w.lump.AmbientDegC) * math.Exp(-k*t)
	return w.lump.AmbientDegC + own + w.forced(p, k, t)/w.lump.HeatCapacityJK
}

// forced is ∫ e^(−k(t−s)) P(s) ds from 0 to t.
func (w *Warmth) forced(p *Piece, k, t float64) float64 {
	switch p.Kind {
	case ConstantVoltage:
		m := 2 * p.decay
		if math.Abs(k-m)*t < 1e-6 {
			return p.HeatW0 * t * math.Exp(-(k+m)/2*t) // both rates alike: the limit of the form below
		}
		return p.HeatW0 * math.Exp(-m*t) * -math.Expm1(-(k-m)*t) / (k - m)
	case PowerLimited:
		if p.e0 > 0 { // without an open-circuit voltage, as at nimh, the heat is constant
			return w.forcedAtPower(p, k, t)
		}
	}
	return p.HeatW0 * -math.Expm1(-k*t) / k
}

// forcedAtPower is forced at constant power, where P ds = R·I dq and the time is a
// closed form of the charge: by the Gauss-Legendre rule of eight points
// (Abramowitz and Stegun, table 25.4; from memory) over the charge. A piece lies
// between two samples of the curve, where the integrand is smooth: the rule is
// good to the last digits of a double.
func (w *Warmth) forcedAtPower(p *Piece, k, t float64) float64 {
	x := p.Coulombs
	if t < p.Seconds {
		x = powerCharge(p, w.ohm, w.power, t)
	}
	at := func(q float64) float64 {
		return powerCurrent(p.e0+p.e1*q, w.ohm, w.power) * math.Exp(-k*(t-powerSeconds(p.e0, p.e1, w.ohm, w.power, q)))
	}
	sum := 0.0
	for _, g := range [4][2]float64{
		{0.1834346424956498, 0.3626837833783620},
		{0.5255324099163290, 0.3137066458778873},
		{0.7966664774136267, 0.2223810344533745},
		{0.9602898564975363, 0.1012285362903763},
	} {
		sum += g[1] * (at(x/2*(1-g[0])) + at(x/2*(1+g[0])))
	}
	return w.ohm * sum * x / 2
}

// turn is the moment within a piece at which the temperature turns from rising
// to falling, or 0 where it does not.
func (w *Warmth) turn(p *Piece) float64 {
	switch p.Kind {
	case ConstantVoltage:
		return w.turnHeld(p)
	case PowerLimited:
		if p.e0 > 0 {
			return w.turnAtPower(p)
		}
	}
	return 0
}

// turnHeld is where, at a held voltage, the derivative
// −k·a·e^(−kt) − m·b·e^(−mt) is zero.
func (w *Warmth) turnHeld(p *Piece) float64 {
	k, m := 1/w.lump.TimeConstant(), 2*p.decay
	if k == m || m == 0 {
		return 0
	}
	b := p.HeatW0 / w.lump.HeatCapacityJK / (k - m)
	a := p.TempDegC0 - w.lump.AmbientDegC - b
	ratio := -(k * a) / (m * b)
	if ratio <= 0 {
		return 0
	}
	return math.Log(ratio) / (k - m)
}

// turnAtPower is where, at constant power, the heat made falls to the heat given
// off: by bisection.
func (w *Warmth) turnAtPower(p *Piece) float64 {
	lo, hi := 0.0, p.Seconds
	for range 50 {
		mid := (lo + hi) / 2
		x := powerCharge(p, w.ohm, w.power, mid)
		i := powerCurrent(p.e0+p.e1*x, w.ohm, w.power)
		if i*i*w.ohm > w.lump.ConductanceWK*(w.At(p, mid)-w.lump.AmbientDegC) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
