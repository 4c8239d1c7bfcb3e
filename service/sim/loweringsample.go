package sim

import (
	"math"
	"sort"
)

// At is the state t seconds after the start, held to the start and the end;
// its temperature is left out. The lowering must have at least one stretch.
func (d *Lowering) At(t float64) State {
	last := len(d.Pieces) - 1
	p := &d.Pieces[sort.Search(last, func(i int) bool { return t < d.Pieces[i].T0+d.Pieces[i].Seconds })]
	dt := min(max(t-p.T0, 0), p.Seconds)
	x, amp := p.Coulombs, p.I1
	if dt < p.Seconds {
		x, amp = d.after(p, dt)
	}
	bleeding := 0.0
	if p.Kind == LowerBleeding {
		bleeding = d.sink.BleedA * dt
	}
	return d.state(p.Q0+x, amp, bleeding)
}

// StartOf is the state at the start of a stretch.
func (d *Lowering) StartOf(p *LowerPiece) State { return d.state(p.Q0, p.I0, 0) }

// EndOf is the state at the end of a stretch.
func (d *Lowering) EndOf(p *LowerPiece) State {
	bleeding := 0.0
	if p.Kind == LowerBleeding {
		bleeding = d.sink.BleedA * p.Seconds
	}
	return d.state(p.Q0+p.Coulombs, p.I1, bleeding)
}

// state is the state when q coulombs have passed at a current, and up to
// bleeding coulombs have been bled from each cell that is bled.
func (d *Lowering) state(q, amp, bleeding float64) State {
	s := State{AmpA: amp, LowestV: -1}
	var count float64
	for j, g := range d.groups {
		z := g.Charge - (q+min(bleeding, d.bled[j]))/g.Coulomb
		v := d.curve.Voltage(z) - amp*g.Ohm
		s.PackV += g.Count * v
		s.HighestV = max(s.HighestV, v)
		if s.LowestV < 0 || v < s.LowestV {
			s.LowestV = v
		}
		s.Charge += g.Count * max(z, 0)
		count += g.Count
	}
	s.Charge /= count
	return s
}

// after is the charge and the current dt seconds into a stretch.
func (d *Lowering) after(p *LowerPiece, dt float64) (x, amp float64) {
	switch p.Kind {
	case LowerPowerLimited:
		x = d.powerAfter(p, dt)
		return x, LoweringCurrent(p.e0-p.fall*x, d.ohm, d.sink.PowerW)
	case LowerResistor:
		r := d.sink.Ohm + d.ohm
		if p.fall == 0 {
			return p.I0 * dt, p.I0
		}
		x = -p.e0 / p.fall * math.Expm1(-p.fall*dt/r)
		return x, (p.e0 - p.fall*x) / r
	}
	return p.I0 * dt, p.I0
}

// powerAfter inverts loweringSeconds for a time within the stretch: Newton's
// method on a function that rises and bends little.
func (d *Lowering) powerAfter(p *LowerPiece, t float64) float64 {
	x := p.Coulombs * t / p.Seconds
	for range 20 {
		s := loweringSeconds(p.e0, p.fall, d.ohm, d.sink.PowerW, x)
		step := (t - s) * LoweringCurrent(p.e0-p.fall*x, d.ohm, d.sink.PowerW)
		x += step
		if math.Abs(step) <= 1e-13*p.Coulombs {
			break
		}
	}
	return min(max(x, 0), p.Coulombs)
}
