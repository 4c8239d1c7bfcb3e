package sim

import "math"

// current draws amp for dt seconds, in closed form: the charge is amp·t and
// w = amp + (w0 − amp)·e^(−t/τ).
//
// While w rises the voltage of every cell falls all the way, and one stretch
// takes the run to its end or to that of dt. While w falls, after a higher
// current, the voltage is concave on each piece of the curve: it ends above the
// cut-off if it does so at both ends of the piece, so the run goes from piece to
// piece.
func (s *drawer) current(amp, dt float64) {
	until := s.now.t + dt
	s.amp = amp
	for !s.ended {
		s.look()
		s.note(amp)
		if s.spare(0, amp, s.now.w) <= 0 {
			s.end(StopCutoff)
			return
		}
		x, atQ, why := until-s.now.t, math.NaN(), false
		if left := s.reserveLeft(); amp > 0 && left <= amp*x {
			x, atQ, why = left/amp, s.now.q+left, true
		}
		plain := false
		if s.now.w > amp && amp > 0 && s.kink < amp*x {
			if plain = s.dry && s.well(amp, x); !plain {
				x, atQ, why = s.kink/amp, s.kinkQ, false
			}
		}
		stop := StopReserve
		fall := math.Exp(-x / s.d.PolarS)
		for j := 0; j < len(s.d.Groups) && !plain; j++ {
			if t, crossed := s.crossing(j, amp, x, fall); crossed {
				x, atQ, why, stop = t, math.NaN(), true, StopCutoff
				fall = math.Exp(-x / s.d.PolarS)
			}
		}
		if t, reached := s.heated(amp, x); reached {
			x, atQ, why, stop = t, math.NaN(), true, StopTemperature
		}
		whole := !why && math.IsNaN(atQ)
		s.pass(amp, x)
		if !math.IsNaN(atQ) {
			s.now.q = atQ
		}
		if whole {
			s.now.t = until
		}
		if why {
			s.end(stop)
		}
		if s.ended || whole {
			s.look()
			s.note(amp)
			return
		}
	}
}

// pass goes x seconds on at one current.
func (s *drawer) pass(amp, x float64) {
	for s.pending(s.now.t + x) {
		n := s.now
		s.advance(&n, amp, s.times[0]-s.now.t)
		s.sample(n, amp)
	}
	s.advance(&s.now, amp, x)
}

func (s *drawer) advance(n *drawNow, amp, x float64) {
	tau := s.d.PolarS
	gone := -math.Expm1(-x / tau)
	n.over = s.heatOf(amp, x).after(n.over, n.w)
	n.mixed += amp * (amp*x + (n.w-amp)*tau*gone)
	n.square += amp * amp * x
	n.w += (amp - n.w) * gone
	n.q += amp * x
	n.t += x
}

// well reports whether it is plain that within x seconds no cell reaches the cut-off: at the end it is
// still above it with the w of now, which is the highest.
func (s *drawer) well(amp, x float64) bool {
	for j := range s.d.Groups {
		g := &s.d.Groups[j]
		u := s.d.Curve.Voltage(g.Charge - (s.now.q+amp*x)/g.Coulomb)
		if u-amp*g.Ohm-g.PolarOhm*s.now.w <= s.d.CutoffV {
			return false
		}
	}
	return true
}

// crossing is when within x seconds group j reaches the cut-off; fall is e^(−x/τ).
func (s *drawer) crossing(j int, amp, x, fall float64) (t float64, crossed bool) {
	if math.IsInf(s.d.CutoffV, -1) {
		return x, false
	}
	g, c, n := &s.d.Groups[j], s.d.Curve, &s.now
	tau := s.d.PolarS
	settled := s.d.CutoffV + amp*(g.Ohm+g.PolarOhm)
	bend := g.PolarOhm * (n.w - amp)
	spare := func(u, t float64) float64 { return u - settled - bend*math.Exp(-t/tau) }
	last := func(u float64) float64 { return u - settled - bend*fall }
	if c == nil || n.w > amp || amp == 0 { // one piece
		end := last(s.u[j] - s.b[j]*amp*x)
		if end > 0 || s.asks {
			return x, end <= 0
		}
		return Root(0, x, spare(s.u[j], 0), end, func(t float64) float64 { return spare(s.u[j]-s.b[j]*amp*t, t) }), true
	}
	z := g.Charge - (n.q+amp*x)/g.Coulomb
	if end := last(c.Voltage(z)); end > 0 || s.asks {
		return x, end <= 0
	}
	// The samples of the curve below the present charge come by in falling order:
	// the crossing lies between two of them.
	when := func(k int) float64 { return ((g.Charge-c.At(k).Charge)*g.Coulomb - n.q) / amp }
	above, below := int(s.piece[j])+1, c.Piece(z) // above: still over the cut-off; below: past it, or past x
	for above-below > 1 {
		mid := (above + below) / 2
		if spare(c.At(mid).Volt, when(mid)) > 0 {
			above = mid
		} else {
			below = mid
		}
	}
	from, slope := c.At(below), c.Slope(below)
	f := func(t float64) float64 {
		return spare(from.Volt+slope*(g.Charge-(n.q+amp*t)/g.Coulomb-from.Charge), t)
	}
	a, b := 0.0, x
	if above <= int(s.piece[j]) {
		a = when(above)
	}
	if below > 0 || when(below) < x {
		b = min(x, when(below))
	}
	return newtonDown(f, func(t float64) float64 {
		return -slope*amp/g.Coulomb + bend/tau*math.Exp(-t/tau)
	}, a, b), true
}

// newtonDown is where f falls through zero between a and b, by Newton's method kept
// inside the bracket.
func newtonDown(f, slope func(float64) float64, a, b float64) float64 {
	t := b
	for range 60 {
		y := f(t)
		if y == 0 {
			return t
		}
		if y > 0 {
			a = t
		} else {
			b = t
		}
		next := t - y/slope(t)
		if !(next > a && next < b) {
			next = a + (b-a)/2
		}
		if math.Abs(next-t) <= 1e-15*math.Abs(t) || b-a <= 1e-15*b {
			return next
		}
		t = next
	}
	return t
}
