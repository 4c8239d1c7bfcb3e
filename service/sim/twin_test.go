package sim

import "github.com/wattkeel/wattkeel/service/cell"

// twin charges by small steps of time, cell by cell, knowing nothing of
// events: the classical fourth-order Runge-Kutta method on every cell's charge,
// with the current found afresh at each evaluation. It is slow and independent
// of the closed forms it checks.
type twin struct {
	curve []cell.Sample
	g     []Group
	p     Program
}

type twinEnd struct {
	seconds, coulombs, energyJ, heatJ float64
	charge                            []float64
}

func newTwin(c *cell.Curve, g []Group, p Program) twin {
	t := twin{g: g, p: p}
	for i := range c.Len() {
		t.curve = append(t.curve, c.At(i))
	}
	return t
}

func (t twin) ocv(z float64) float64 {
	for i := 1; i < len(t.curve); i++ {
		a, b := t.curve[i-1], t.curve[i]
		if z <= b.Charge || i == len(t.curve)-1 {
			return a.Volt + (z-a.Charge)/(b.Charge-a.Charge)*(b.Volt-a.Volt)
		}
	}
	return 0
}

// amp is the current at cell charges z, the pack's voltage, and whether a cell
// is being held at its end voltage.
func (t twin) amp(z []float64) (amp, volt float64, held bool) {
	amp = t.p.CurrentA
	var e, r float64
	for j, g := range t.g {
		u := t.ocv(z[j])
		if t.p.RecoveryV > 0 && u < t.p.RecoveryV {
			amp = min(amp, t.p.RecoveryA)
		}
		e += g.Count * u
		r += g.Count * g.Ohm
	}
	// Newton's method for power, unlike the closed root used by the kernel.
	if (e+r*amp)*amp > t.p.PowerW {
		i := t.p.PowerW / e
		for range 50 {
			i -= ((e+r*i)*i - t.p.PowerW) / (e + 2*r*i)
		}
		amp = min(amp, i)
	}
	for j, g := range t.g {
		if i := (t.p.EndV - t.ocv(z[j])) / g.Ohm; i < amp {
			amp, held = i, true
		}
	}
	return amp, e + r*amp, held
}

// run steps by dt seconds until the taper or the first full cell.
func (t twin) run(dt float64) twinEnd {
	n := len(t.g)
	z := make([]float64, n)
	for j, g := range t.g {
		z[j] = g.Charge
	}
	var end twinEnd
	r := 0.0
	for _, g := range t.g {
		r += g.Count * g.Ohm
	}
	at := func(z []float64, q float64) []float64 {
		out := make([]float64, n)
		for j, g := range t.g {
			out[j] = z[j] + q/g.Coulomb
		}
		return out
	}
	for {
		i1, v1, held := t.amp(z)
		if held && i1 <= t.p.TaperA || i1 <= 0 {
			break
		}
		i2, v2, _ := t.amp(at(z, dt/2*i1))
		i3, v3, _ := t.amp(at(z, dt/2*i2))
		i4, v4, held := t.amp(at(z, dt*i3))
		q := dt / 6 * (i1 + 2*i2 + 2*i3 + i4)
		part := 1.0
		if held && i4 < t.p.TaperA { // the last step ends where the current crosses the taper
			part = (i1 - t.p.TaperA) / (i1 - i4)
		}
		for j, g := range t.g {
			if left := (1 - z[j]) * g.Coulomb; q*part > left { // or where a cell is full
				part = left / q
			}
		}
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
