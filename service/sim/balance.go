package sim

import "math"

// balance lets the groups that ended low catch up with the highest: the
// charger feeds a small current through the pack and leads it past every group
// that is full, whose share turns to heat in the balancing circuit. The
// current is the bleed current, or less: never above the taper, nor so high
// that a cell with much resistance would pass its end voltage.
func (s *solver) balance() {
	var rest [MaxGroups]float64
	top := math.Inf(-1)
	for j := range s.groups {
		rest[j] = s.curve.Voltage(s.chargeOf(j, s.q))
		top = max(top, rest[j])
	}
	if top > s.p.EndV {
		return // a cell rests above the end voltage already: nothing may be fed to this pack
	}
	goal := top - s.p.ToleranceV
	amp := min(s.p.BalanceA, s.p.TaperA)
	for j, g := range s.groups {
		if rest[j] < goal {
			s.stop[j] = s.q + (s.curve.Charge(goal)-s.chargeOf(j, s.q))*g.Coulomb
			amp = min(amp, (s.p.EndV-goal)/g.Ohm)
		}
	}
	if amp <= 0 {
		return
	}
	for {
		next := math.Inf(1)
		var ohm, bypassed, count float64
		for j, g := range s.groups {
			if s.stop[j] > s.q {
				next = min(next, s.stop[j])
				ohm += g.Count * g.Ohm
			} else {
				bypassed += g.Count * s.curve.Voltage(s.chargeOf(j, s.q))
				count += g.Count
			}
		}
		if math.IsInf(next, 1) {
			return
		}
		x := next - s.q
		heat := amp * amp * ohm
		p := Piece{
			Kind: Balancing, T0: s.t, Q0: s.q, Seconds: x / amp, Coulombs: x,
			I0: amp, I1: amp, HeatW0: heat, HeatW1: heat,
		}
		if !s.p.Brief {
			s.Pieces = append(s.Pieces, p)
		}
		s.BalanceS += p.Seconds
		s.HeatJ += heat * p.Seconds
		s.BypassJ += bypassed * x
		s.BypassC += count * x
		s.q = next
		s.t += p.Seconds
	}
}

// Fed is the charge that cells of group j take in while they are balanced.
func (c *Charge) Fed(j int) float64 { return max(c.stop[j]-c.mainC, 0) }
