package sim

import "math"

// heatOf is how the temperature above the surroundings goes on at one current:
// own·over + c0 + c1·w + c2·w², for over and w at the start.
//
// The heat I²·R0 + R1·w² is, with w = I + (w0 − I)·e^(−t/τ), a sum of three
// exponentials, and so is the solution of m·c·dT/dt = P − h·A·(T − T_ambient).
type heatOf struct{ own, c0, c1, c2 float64 }

func (s *drawer) heatOf(amp, t float64) heatOf {
	if !s.warms() {
		return heatOf{own: 1}
	}
	l := &s.d.Lump
	k, m := 1/l.TimeConstant(), 1/s.d.PolarS
	f0, f1, f2 := met(k, 0, t), met(k, m, t), met(k, 2*m, t)
	perC := 1 / l.HeatCapacityJK
	return heatOf{
		own: math.Exp(-k * t),
		c0:  perC * amp * amp * ((s.r0+s.r1)*f0 + s.r1*(f2-2*f1)),
		c1:  perC * 2 * s.r1 * amp * (f1 - f2),
		c2:  perC * s.r1 * f2,
	}
}

func (h heatOf) after(over, w float64) float64 { return h.own*over + h.c0 + (h.c1+h.c2*w)*w }

// met is ∫ e^(−k(t−s)) e^(−ms) ds from 0 to t.
func met(k, m, t float64) float64 {
	slow, apart := min(k, m), math.Abs(k-m)
	if apart*t < 1e-9 {
		return t * math.Exp(-slow*t) * (1 - apart*t/2)
	}
	return math.Exp(-slow*t) * -math.Expm1(-apart*t) / apart
}

// warming is the rate of temperature t seconds on at one current, in K/s, times m·c.
func (s *drawer) warming(amp, t float64) float64 {
	w := amp + (s.now.w-amp)*math.Exp(-t/s.d.PolarS)
	return s.r0*amp*amp + s.r1*w*w - s.d.Lump.ConductanceWK*s.heatOf(amp, t).after(s.now.over, s.now.w)
}

// hottest is when within x seconds at one current the pack is hottest. While w rises the
// heat does, and the temperature has no maximum inside; while w falls it has
// one at most.
func (s *drawer) hottest(amp, x float64) float64 {
	if s.now.w <= amp || s.warming(amp, x) >= 0 {
		return x
	}
	if s.warming(amp, 0) <= 0 {
		return 0
	}
	return Root(0, x, s.warming(amp, 0), s.warming(amp, x), func(t float64) float64 { return s.warming(amp, t) })
}

// heated is when within x seconds at one current the pack reaches its limit; x
// where it does not. It keeps the peak.
func (s *drawer) heated(amp, x float64) (at float64, reached bool) {
	if !s.warms() || s.dry && math.IsInf(s.limit, 1) {
		return x, false
	}
	n := &s.now
	w := max(n.w, amp)
	most := max(n.over, 0) + (s.r0*amp*amp+s.r1*w*w)*x/s.d.Lump.HeatCapacityJK // if nothing were lost
	if most < s.limit && (s.dry || s.d.Lump.AmbientDegC+most <= s.out.PeakDegC) {
		return x, false
	}
	top := s.hottest(amp, x)
	peak := s.heatOf(amp, top).after(n.over, n.w)
	if peak < s.limit {
		if !s.dry {
			s.out.PeakDegC = max(s.out.PeakDegC, s.d.Lump.AmbientDegC+peak)
		}
		return x, false
	}
	f := func(t float64) float64 { return s.limit - s.heatOf(amp, t).after(n.over, n.w) }
	return Root(0, top, s.limit-n.over, s.limit-peak, f), true
}

// Root is where the continuous function f, of the two signs fa at a and fb at b, is
// zero: false position with the Illinois weights, and a halving now and then for
// functions that bend too much for it.
func Root(a, b, fa, fb float64, f func(float64) float64) float64 {
	side := 0
	for i := range 100 {
		if fa == fb || b-a <= 1e-15*math.Abs(b) {
			break
		}
		x := a + (b-a)*(fa/(fa-fb))
		if i%6 == 5 {
			x = a + (b-a)/2
		}
		if x <= a || x >= b {
			break
		}
		fx := f(x)
		if fx == 0 {
			return x
		}
		if (fx > 0) == (fa > 0) {
			a, fa = x, fx
			if side == 1 {
				fb /= 2
			}
			side = 1
		} else {
			b, fb = x, fx
			if side == -1 {
				fa /= 2
			}
			side = -1
		}
	}
	return b
}
