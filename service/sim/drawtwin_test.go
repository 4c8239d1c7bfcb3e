package sim

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
)

// drawTwin discharges by small fixed steps of time, cell by cell, each with a
// polarization voltage and an energy of its own, by the classical fourth-order
// Runge-Kutta method. It knows nothing of w, of closed forms or of leaps.
type drawTwin struct {
	d     *Draw
	curve []cell.Sample
}

// y holds for each group charge and polarization voltage, then temperature, the charge
// drawn, the energy at the terminals and ∫ I² dt.
type drawY []float64

func (t drawTwin) ocv(z float64) float64 {
	if t.d.Curve == nil {
		return t.d.FlatV
	}
	for i := 1; i < len(t.curve); i++ {
		a, b := t.curve[i-1], t.curve[i]
		if z <= b.Charge || i == len(t.curve)-1 {
			return a.Volt + (z-a.Charge)/(b.Charge-a.Charge)*(b.Volt-a.Volt)
		}
	}
	return 0
}

// segment is the part of the cycle at the moment, and when it ends.
func (t drawTwin) amp(y drawY, g LoadSegment) float64 {
	var e, r float64
	for j, c := range t.d.Groups {
		e += c.Count * (t.ocv(y[2*j]) - y[2*j+1])
		r += c.Count * c.Ohm
	}
	switch {
	case t.d.Kind == LoadResistance:
		return e / (r + t.d.Ohm)
	case g.PowerW > 0: // Newton's method, unlike the closed root of the kernel
		i := g.PowerW / e
		for range 40 {
			i -= ((e-r*i)*i - g.PowerW) / (e - 2*r*i)
		}
		return i
	}
	return g.AmpA
}

func (t drawTwin) rate(y drawY, g LoadSegment) drawY {
	n := len(t.d.Groups)
	out := make(drawY, len(y))
	i := t.amp(y, g)
	out[2*n+3] = i * i
	var heat, volt float64
	for j, c := range t.d.Groups {
		u := y[2*j+1]
		out[2*j] = -i / c.Coulomb
		out[2*j+1] = (i*c.PolarOhm - u) / t.d.PolarS
		heat += c.Count * i * i * c.Ohm
		if c.PolarOhm > 0 {
			heat += c.Count * u * u / c.PolarOhm
		}
		volt += c.Count * (t.ocv(y[2*j]) - u - i*c.Ohm)
	}
	out[2*n] = (heat - t.d.Lump.ConductanceWK*(y[2*n]-t.d.Lump.AmbientDegC)) / t.d.Lump.HeatCapacityJK
	out[2*n+1] = i
	out[2*n+2] = volt * i
	return out
}

func (t drawTwin) step(y drawY, dt float64, g LoadSegment) drawY {
	add := func(k drawY, h float64) drawY {
		out := make(drawY, len(y))
		for i := range y {
			out[i] = y[i] + h*k[i]
		}
		return out
	}
	k1 := t.rate(y, g)
	k2 := t.rate(add(k1, dt/2), g)
	k3 := t.rate(add(k2, dt/2), g)
	k4 := t.rate(add(k3, dt), g)
	out := make(drawY, len(y))
	for i := range y {
		out[i] = y[i] + dt/6*(k1[i]+2*k2[i]+2*k3[i]+k4[i])
	}
	return out
}

// over reports what has ended.
func (t drawTwin) over(y drawY, g LoadSegment) (Stop, bool) {
	n := len(t.d.Groups)
	i := t.amp(y, g)
	if y[2*n] >= t.d.LimitDegC {
		return StopTemperature, true
	}
	for j, c := range t.d.Groups {
		if y[2*j] <= t.d.Reserve {
			return StopReserve, true
		}
		if !(t.ocv(y[2*j])-y[2*j+1]-i*c.Ohm > t.d.CutoffV) {
			return StopCutoff, true
		}
	}
	return 0, false
}

// run steps by at most dt until something ends it; the last step is halved until it fits.
func (t drawTwin) run(dt float64) (r Drawn) {
	n := len(t.d.Groups)
	y := make(drawY, 2*n+4)
	for j, g := range t.d.Groups {
		y[2*j] = g.Charge
	}
	y[2*n] = t.d.Lump.StartDegC
	if t.d.Curve != nil {
		for i := range t.d.Curve.Len() {
			t.curve = append(t.curve, t.d.Curve.At(i))
		}
	}
	segments := t.d.Segments
	if t.d.Kind != LoadCycle {
		segments = []LoadSegment{{math.Inf(1), t.d.AmpA, t.d.PowerW}}
	}
	r.LowestCellV, r.LowestPackV, r.PeakDegC = math.Inf(1), math.Inf(1), y[2*n]
	at, left := 0, segments[0].Seconds
	for {
		g := segments[at]
		note := func() {
			i := t.amp(y, g)
			r.PeakA = max(r.PeakA, i)
			pack := 0.0
			for j, c := range t.d.Groups {
				v := t.ocv(y[2*j]) - y[2*j+1] - i*c.Ohm
				pack += c.Count * v
				r.LowestCellV = min(r.LowestCellV, v)
			}
			r.LowestPackV = min(r.LowestPackV, pack)
			r.PeakDegC = max(r.PeakDegC, y[2*n])
		}
		note()
		if why, done := t.over(y, g); done {
			r.Stop = why
			break
		}
		h := min(dt, left)
		next := t.step(y, h, g)
		if why, done := t.over(next, g); done {
			for lo, hi := 0.0, h; hi-lo > 1e-12*h; {
				mid := (lo + hi) / 2
				if w, done := t.over(t.step(y, mid, g), g); done {
					hi, why = mid, w
				} else {
					lo = mid
				}
				h = hi
			}
			y = t.step(y, h, g)
			r.Seconds += h
			r.Stop = why
			note()
			break
		}
		y = next
		r.Seconds += h
		if left -= h; left <= 1e-12 {
			note()
			at++
			if at == len(segments) {
				at = 0
				r.Cycles++
			}
			left = segments[at].Seconds
		}
	}
	r.EndDegC = y[2*n]
	r.Coulombs, r.SquareA2S = y[2*n+1], y[2*n+3]
	r.Segment = at
	for j, c := range t.d.Groups {
		r.StoredJ += c.Count * c.Coulomb * t.stored(c.Charge, y[2*j])
	}
	r.HeatJ = r.StoredJ - y[2*n+2]
	return r
}

// at is the state and the current t seconds after the start, whatever would end the run.
func (t drawTwin) at(to, dt float64) (drawY, float64) {
	d := *t.d
	d.CutoffV, d.Reserve, d.LimitDegC = math.Inf(-1), -1, math.Inf(1)
	t.d = &d
	return t.walk(to, dt)
}

func (t drawTwin) walk(to, dt float64) (drawY, float64) {
	n := len(t.d.Groups)
	y := make(drawY, 2*n+4)
	for j, g := range t.d.Groups {
		y[2*j] = g.Charge
	}
	y[2*n] = t.d.Lump.StartDegC
	if t.d.Curve != nil {
		for i := range t.d.Curve.Len() {
			t.curve = append(t.curve, t.d.Curve.At(i))
		}
	}
	segments := t.d.Segments
	if t.d.Kind != LoadCycle {
		segments = []LoadSegment{{math.Inf(1), t.d.AmpA, t.d.PowerW}}
	}
	now := 0.0
	for at := 0; ; at = (at + 1) % len(segments) {
		g := segments[at]
		for left := g.Seconds; left > 1e-12; {
			h := min(dt, left, to-now)
			if h <= 0 {
				return y, t.amp(y, g)
			}
			y = t.step(y, h, g)
			now += h
			left -= h
		}
	}
}

// stored is ∫ U dz between two charges, by many trapezoids.
func (t drawTwin) stored(from, to float64) float64 {
	const n = 40_000
	sum := 0.0
	for i := range n + 1 {
		w := 1.0
		if i == 0 || i == n {
			w = 0.5
		}
		sum += w * t.ocv(to+(from-to)*float64(i)/n)
	}
	return sum * (from - to) / n
}
