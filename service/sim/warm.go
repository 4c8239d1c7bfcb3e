package sim

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
)

// Warmth is how warm a pack gets.
type Warmth struct {
	PeakDegC float64
	EndDegC  float64

	lump cell.Thermal
}

// Warm follows the temperature of the pack through the charge: the exact
// solution of m·c·dT/dt = P − h·A·(T − T_ambient) on each piece, for the heat
// P that stays constant at constant current, decays with the square of the
// current at constant voltage, and is taken as linear over the short pieces at
// constant power.
func Warm(c *Charge, lump cell.Thermal) Warmth {
	w := Warmth{PeakDegC: lump.StartDegC, lump: lump}
	temp := lump.StartDegC
	rising := func(heatW, temp float64) bool { return heatW > lump.ConductanceWK*(temp-lump.AmbientDegC) }
	for i := range c.Pieces {
		p := &c.Pieces[i]
		p.TempDegC0 = temp
		start := rising(p.HeatW0, temp)
		temp = w.At(p, p.Seconds)
		if p.Kind == ConstantVoltage && start && !rising(p.HeatW1, temp) {
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
	return w.lump.AmbientDegC + own + forced(p, k, t)/w.lump.HeatCapacityJK
}

// forced is ∫ e^(−k(t−s)) P(s) ds from 0 to t.
func forced(p *Piece, k, t float64) float64 {
	switch p.Kind {
	case ConstantVoltage:
		m := 2 * p.decay
		if math.Abs(k-m)*t < 1e-6 {
			return p.HeatW0 * t * math.Exp(-(k+m)/2*t) // both rates alike: the limit of the form below
		}
		return p.HeatW0 * math.Exp(-m*t) * -math.Expm1(-(k-m)*t) / (k - m)
	case PowerLimited:
		ramp := (p.HeatW1 - p.HeatW0) / p.Seconds
		lag := -math.Expm1(-k*t) / k
		return p.HeatW0*lag + ramp*(t-lag)/k
	}
	return p.HeatW0 * -math.Expm1(-k*t) / k
}

// turn is the moment within a constant-voltage piece at which the temperature
// turns from rising to falling, where its derivative
// −k·a·e^(−kt) − m·b·e^(−mt) is zero, or 0 where it does not.
func (w *Warmth) turn(p *Piece) float64 {
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
