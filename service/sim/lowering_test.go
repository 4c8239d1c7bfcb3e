package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// lowerTwin discharges by small steps of time, knowing nothing of events or
// closed forms: the classical fourth-order Runge-Kutta method, with the current
// found afresh at each evaluation, by Newton's method where a power sets it.
type lowerTwin struct {
	twin
	s Sink
}

func (t lowerTwin) amps(z []float64) (amp, volt float64) {
	var e, r float64
	for j, g := range t.g {
		e += g.Count * t.ocv(z[j])
		r += g.Count * g.Ohm
	}
	amp = t.s.CurrentA
	switch {
	case t.s.Ohm > 0:
		amp = e / (t.s.Ohm + r)
	case !math.IsInf(t.s.PowerW, 1):
		i := t.s.PowerW / e
		for range 50 {
			i -= ((e-r*i)*i - t.s.PowerW) / (e - 2*r*i)
		}
		amp = min(amp, i)
	}
	return amp, e - r*amp
}

func (t lowerTwin) run(dt float64) twinEnd {
	n := len(t.g)
	z := make([]float64, n)
	r := 0.0
	for j, g := range t.g {
		z[j] = g.Charge
		r += g.Count * g.Ohm
	}
	at := func(z []float64, q float64) []float64 {
		out := make([]float64, n)
		for j, g := range t.g {
			out[j] = z[j] - q/g.Coulomb
		}
		return out
	}
	var end twinEnd
	for end.coulombs < t.s.Coulombs {
		i1, v1 := t.amps(z)
		i2, v2 := t.amps(at(z, dt/2*i1))
		i3, v3 := t.amps(at(z, dt/2*i2))
		i4, v4 := t.amps(at(z, dt*i3))
		q := dt / 6 * (i1 + 2*i2 + 2*i3 + i4)
		part := min(1, (t.s.Coulombs-end.coulombs)/q)
		z = at(z, q*part)
		end.coulombs += q * part
		end.seconds += dt * part
		end.energyJ += dt / 6 * (i1*v1 + 2*i2*v2 + 2*i3*v3 + i4*v4) * part
		end.heatJ += dt / 6 * (i1*i1 + 2*i2*i2 + 2*i3*i3 + i4*i4) * r * part
		if part < 1 {
			break
		}
	}
	end.charge = z
	return end
}

// 1e-6 relative is asked of time, energy and heat: what the twin's own steps
// leave at the kinks of the curve was seen to be below 1e-7.
func TestLowerAgreesWithSlowTwin(t *testing.T) {
	none := math.Inf(1)
	for _, c := range []struct {
		name   string
		chem   spec.Chemistry
		groups []Group
		s      Sink
		kinds  []LowerKind
	}{
		{"a small charger's few watts", spec.LiPo, alike(3, 2.2, 1, 0.023), Sink{Coulombs: 3800, CurrentA: 1, PowerW: 8}, []LowerKind{LowerPowerLimited}},
		{"power, then current", spec.LiPo, alike(3, 2.2, 1, 0.023), Sink{Coulombs: 3800, CurrentA: 1, PowerW: 12}, []LowerKind{LowerPowerLimited, LowerConstantCurrent}},
		{"current alone", spec.LiPo, alike(3, 2.2, 0.97, 0.023), Sink{Coulombs: 3500, CurrentA: 2, PowerW: none}, []LowerKind{LowerConstantCurrent}},
		{"power alone", spec.LiIon, alike(2, 3, 0.9, 0.08), Sink{Coulombs: 3000, CurrentA: none, PowerW: 20}, []LowerKind{LowerPowerLimited}},
		{"cells apart", spec.LiPo, []Group{{1, 7920, 0.98, 0.03}, {1, 7920, 0.93, 0.02}, {1, 7920, 0.955, 0.025}}, Sink{Coulombs: 3000, CurrentA: 0.9, PowerW: 10.5}, []LowerKind{LowerPowerLimited, LowerConstantCurrent}},
		{"unlike capacities", spec.LiHV, []Group{{2, 7920, 0.98, 0.03}, {1, 7000, 0.93, 0.05}}, Sink{Coulombs: 2500, CurrentA: 2, PowerW: 15}, []LowerKind{LowerPowerLimited}},
		{"the flat curve", spec.LiFePO4, alike(4, 2.5, 1, 0.02), Sink{Coulombs: 4400, CurrentA: 2, PowerW: 20}, []LowerKind{LowerPowerLimited}},
		{"a resistor", spec.LiPo, alike(3, 2.2, 1, 0.023), Sink{Coulombs: 3800, CurrentA: none, PowerW: none, Ohm: 12}, []LowerKind{LowerResistor}},
		{"a resistor on cells apart", spec.LiIon, []Group{{1, 9000, 0.98, 0.05}, {1, 9000, 0.93, 0.07}}, Sink{Coulombs: 3000, CurrentA: none, PowerW: none, Ohm: 3.3}, []LowerKind{LowerResistor}},
		{"deep, under heavy load", spec.LiPo, alike(1, 2.2, 0.3, 0.05), Sink{Coulombs: 2300, CurrentA: none, PowerW: 40}, []LowerKind{LowerPowerLimited}},
	} {
		t.Run(c.name, func(t *testing.T) {
			curve := cell.NewTable().Get(c.chem).Curve
			got := Lower(curve, c.groups, c.s, nil)
			want := lowerTwin{newTwin(curve, c.groups, Program{}), c.s}.run(0.05) // its last step is cut short at an even current
			var kinds []LowerKind
			for _, p := range got.Pieces {
				if len(kinds) == 0 || kinds[len(kinds)-1] != p.Kind {
					kinds = append(kinds, p.Kind)
				}
			}
			assert.Equal(t, c.kinds, kinds)
			off := func(name string, w, g float64) {
				rel := math.Abs(g-w) / math.Abs(w)
				t.Logf("%-8s kernel %.9g twin %.9g off %.1e", name, g, w, rel)
				assert.LessOrEqual(t, rel, 1e-6, name)
			}
			off("seconds", want.seconds, got.Seconds)
			off("energy", want.energyJ, got.OutJ())
			off("heat", want.heatJ, got.HeatJ)
			end := 0.0
			for j, g := range c.groups {
				end += g.Count * want.charge[j]
			}
			n := 0.0
			for _, g := range c.groups {
				n += g.Count
			}
			off("charge", end/n, got.At(got.Seconds).Charge)
			brief := c.s
			brief.Brief = true
			assert.InEpsilon(t, got.Seconds, Lower(curve, c.groups, brief, nil).Seconds, 1e-15)
			// What a sample shows lies on the solution: half of the time moves
			// what the twin moved by then.
			half := lowerTwin{newTwin(curve, c.groups, Program{}), c.s}
			mid := got.At(got.Seconds / 2)
			moved := 0.0
			for _, p := range got.Pieces {
				if p.T0+p.Seconds <= got.Seconds/2 {
					moved = p.Q0 + p.Coulombs
				} else if p.T0 < got.Seconds/2 {
					x, _ := got.after(&p, got.Seconds/2-p.T0)
					moved = p.Q0 + x
				}
			}
			half.s.Coulombs = moved
			off("half", half.run(0.05).seconds, got.Seconds/2)
			assert.InDelta(t, mid.PackV, got.PackVoltage(moved), 1e-9)
		})
	}
}

func TestLowerBleedsTheHighCells(t *testing.T) {
	curve := cell.NewTable().Get(spec.LiPo).Curve
	groups := []Group{{1, 7920, 0.9, 0.02}, {1, 7920, 0.95, 0.02}, {1, 7920, 0.92, 0.02}}
	z := curve.Charge(3.8)
	d := Lower(curve, groups, Sink{Coulombs: (0.9 - z) * 7920, CurrentA: 1, PowerW: 9, BleedA: 0.3, BleedTo: z + 0.01}, nil)
	assert.InEpsilon(t, (0.04+0.01)*7920, d.BledC, 1e-9)
	assert.InEpsilon(t, 0.04*7920/0.3, d.BleedS, 1e-9)
	last := d.Pieces[len(d.Pieces)-1]
	assert.Equal(t, LowerBleeding, last.Kind)
	end := d.At(d.Seconds)
	assert.InDelta(t, 3.8, end.LowestV, 1e-12)
	assert.InDelta(t, curve.Voltage(z+0.01), end.HighestV, 1e-9)
	assert.InDelta(t, d.SpreadV, end.HighestV-end.LowestV, 1e-12)
	assert.InEpsilon(t, d.StoredJ, d.OutJ()+d.HeatJ+d.BledJ, 1e-12)
	// Half way the cells that are bled have lost the same.
	mid := d.At(last.T0 + last.Seconds/2)
	assert.InDelta(t, curve.Voltage(z+0.05-0.02), mid.HighestV, 1e-9)
}

// Where the pack under load shows the target before it rests there.
func TestLowerFindsTheLoadedVoltage(t *testing.T) {
	curve := cell.NewTable().Get(spec.LiPo).Curve
	groups := alike(3, 2.2, 1, 0.023)
	d := Lower(curve, groups, Sink{Coulombs: (1 - curve.Charge(3.8)) * 7920, CurrentA: 2, PowerW: math.Inf(1)}, nil)
	q := d.ChargeAtVoltage(3 * 3.8)
	assert.InDelta(t, 3*3.8, d.PackVoltage(q), 1e-9)
	assert.InDelta(t, (1-curve.Charge(3.8+2*0.023))*7920, q, 1e-6)
	assert.Zero(t, d.ChargeAtVoltage(13))
	assert.Equal(t, d.Coulombs, d.ChargeAtVoltage(3))
}

func BenchmarkLowerPower(b *testing.B) {
	curve := cell.NewTable().Get(spec.LiPo).Curve
	groups := alike(3, 2.2, 1, 0.023)
	pieces := make([]LowerPiece, 0, 128)
	for b.Loop() {
		Lower(curve, groups, Sink{Coulombs: 3800, CurrentA: 1, PowerW: 8}, pieces)
	}
}
