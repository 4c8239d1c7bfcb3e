package sim

import "math"

// series is a run over the next span coulombs in powers of u, the part of them that is drawn: on one
// piece of the curve everything is smooth. The coefficients follow from the differential
// equations one by one, each from those before it, by the rules for products, quotients and square
// roots of power series (R. E. Moore, Interval Analysis, chapter 11; from memory).
type series struct {
	span float64
	w    [7]float64
	g    [6]float64 // 1/I
	i    [6]float64
	over [7]float64
}

const (
	seriesTolerance = 2e-8 // of the last term kept: what is left out is a tenth of it or less
	seriesLeast     = 0.2  // of the way to the next event: for less the implicit method is the quicker
	seriesMost      = 0.7  // time constants in one step
)

// expand finds the coefficients from where the curve was read, given 1/I there and its slope over s.
//
// Both laws are the quadratic P·g² − s·g + R = 0 for g = 1/I, with P = 0 at a resistor. So g is
// slope·s and a rest of products of earlier coefficients, in which d = s − P·g = R·I. The
// temperature follows from w and I.
func (s *drawer) expand(l drawLaw, p *series, g0, slope, amp float64) {
	rate, e1 := p.span*s.rate, -p.span*s.e1
	w0, k := s.now.w, slope*amp
	gw := -s.r1 * slope                // of w in g
	dw := -s.r1 * (1 - l.powerW*slope) // of w in d
	own, rest := g0+w0*gw, w0*k        // of w and of the products in w/I
	pk := l.powerW * k
	c0 := w0 * g0
	w1 := (1 - c0) * rate
	s1 := e1 - s.r1*w1
	g1 := slope * s1
	d1 := s1 - l.powerW*g1
	c1 := w0*slope*e1 + own*w1
	w2 := c1 * (rate * (-1. / 2))
	n2 := d1 * g1
	c2 := w1*g1 + rest*n2 + own*w2
	w3 := c2 * (rate * (-1. / 3))
	g2 := k*n2 + gw*w2
	d2 := dw*w2 - pk*n2
	n3 := d1*g2 + d2*g1
	c3 := (w1*g2 + w2*g1) + rest*n3 + own*w3
	w4 := c3 * (rate * (-1. / 4))
	g3 := k*n3 + gw*w3
	d3 := dw*w3 - pk*n3
	n4 := d2*g2 + (d1*g3 + d3*g1)
	c4 := (w2*g2 + (w1*g3 + w3*g1)) + rest*n4 + own*w4
	w5 := c4 * (rate * (-1. / 5))
	g4 := k*n4 + gw*w4
	d4 := dw*w4 - pk*n4
	n5 := d2*g3 + d3*g2 + (d1*g4 + d4*g1)
	c5 := (w2*g3 + w3*g2 + (w1*g4 + w4*g1)) + rest*n5 + own*w5
	w6 := c5 * (rate * (-1. / 6))
	g5 := k*n5 + gw*w5
	d5 := dw*w5 - pk*n5
	w, g, i, o := &p.w, &p.g, &p.i, &p.over
	w[0], w[1], w[2], w[3], w[4], w[5], w[6] = w0, w1, w2, w3, w4, w5, w6
	g[0], g[1], g[2], g[3], g[4], g[5] = g0, g1, g2, g3, g4, g5
	r := l.siemens
	i[0], i[1], i[2], i[3], i[4], i[5] = amp, d1*r, d2*r, d3*r, d4*r, d5*r
	if !s.warms() {
		return
	}
	h := p.span / s.d.Lump.HeatCapacityJK
	h0, h1, loss := s.r0*h*r, s.r1*h, s.d.Lump.ConductanceWK*h
	o0 := s.now.over
	o1 := s.r0*h*amp + h1*(w0*c0) - loss*(o0*g0)
	o2 := (h0*d1 + h1*(w0*c1+w1*c0) - loss*(o0*g1+o1*g0)) * (1. / 2)
	o3 := (h0*d2 + h1*(w0*c2+w1*c1+w2*c0) - loss*(o0*g2+o1*g1+o2*g0)) * (1. / 3)
	o4 := (h0*d3 + h1*(w0*c3+w1*c2+w2*c1+w3*c0) - loss*(o0*g3+o1*g2+o2*g1+o3*g0)) * (1. / 4)
	o5 := (h0*d4 + h1*(w0*c4+w1*c3+w2*c2+w3*c1+w4*c0) - loss*(o0*g4+o1*g3+o2*g2+o3*g1+o4*g0)) * (1. / 5)
	o6 := (h0*d5 + h1*(w0*c5+w1*c4+w2*c3+w3*c2+w4*c1+w5*c0) - loss*(o0*g5+o1*g4+o2*g3+o3*g2+o4*g1+o5*g0)) * (1. / 6)
	o[0], o[1], o[2], o[3], o[4], o[5], o[6] = o0, o1, o2, o3, o4, o5, o6
}

// far is how much of the span the series is good for.
func (p *series) far(amp float64) float64 {
	w, t := math.Abs(p.w[6]), math.Abs(p.g[5])*(amp*amp)*(1./6)
	o, most := math.Abs(p.over[6]), 0.1*seriesTolerance*(1+math.Abs(p.over[0]))
	if least := amp * seriesTolerance; w <= least && t <= least && o <= most {
		return 1
	}
	off := max(w/(amp*seriesTolerance), t/(amp*seriesTolerance), o/most)
	u := 1.0
	for ; off > 1 && u > seriesLeast; off *= 0.75 * 0.75 * 0.75 * 0.75 * 0.75 * 0.75 {
		u *= 0.75
	}
	if !(off <= 1) {
		return 0
	}
	return u
}

// The sums are taken in pairs: shorter chains of operations than by Horner's rule.

func at6(c *[6]float64, u float64) float64 {
	v := u * u
	return (c[0] + u*c[1]) + v*((c[2]+u*c[3])+v*(c[4]+u*c[5]))
}

func at7(c *[7]float64, u float64) float64 {
	v := u * u
	return (c[0] + u*c[1]) + v*((c[2]+u*c[3])+v*((c[4]+u*c[5])+v*c[6]))
}

// upTo6 is the integral from 0 to u.
func upTo6(c *[6]float64, u float64) float64 {
	v := u * u
	return u * ((c[0] + u*c[1]*(1./2)) + v*((c[2]*(1./3)+u*c[3]*(1./4))+v*(c[4]*(1./5)+u*c[5]*(1./6))))
}

func upTo7(c *[7]float64, u float64) float64 {
	v := u * u
	return u * ((c[0] + u*c[1]*(1./2)) + v*((c[2]*(1./3)+u*c[3]*(1./4))+v*((c[4]*(1./5)+u*c[5]*(1./6))+v*c[6]*(1./7))))
}

// hop takes one step by series to the next event but those that end a run or want a sample: where it
// passed one of these, the next look at the run tells, and the step is taken back. It reports whether
// it did: it does not where the load is light or near the most the pack can give.
func (s *drawer) hop(l drawLaw, p *series, until, left, amp, g, slope float64) (hopped, emptied bool) {
	x := min(s.kink, left)
	p.span = min(x, seriesMost*amp*s.d.PolarS)
	if p.span < seriesLeast*x {
		return false, false
	}
	s.expand(l, p, g, slope, amp)
	u := p.far(amp)
	if p.span*u < seriesLeast*x {
		return false, false
	}
	dt, landed := p.span*upTo6(&p.g, u), false
	if rest := until - s.now.t; dt >= rest {
		landed = true
		u *= rest / dt
		for range 8 {
			miss := rest - p.span*upTo6(&p.g, u)
			if math.Abs(miss) <= 1e-15*rest {
				break
			}
			u += miss / (p.span * at6(&p.g, u))
		}
		dt = rest
	}
	if s.pending(s.now.t + dt) {
		return false, false
	}
	n := &s.now
	y := p.span * u
	n.square += p.span * upTo6(&p.i, u)
	n.mixed += p.span * upTo7(&p.w, u)
	n.w = at7(&p.w, u)
	if s.warms() {
		n.over = at7(&p.over, u)
	}
	n.q += y
	n.t += dt
	switch {
	case landed:
		n.t = until
	case y == s.kink:
		n.q = s.kinkQ
	}
	return true, y == left
}

// passed reports whether a run has come past something that ends it, spare above the cut-off, or past a
// peak of its temperature.
func (s *drawer) passed(spare, amp float64, rose bool) bool {
	return spare <= 0 || s.warms() && (s.now.over >= s.limit || rose && !s.dry && s.heating(amp) < 0)
}

// heating is the rate of temperature in K/s, times m·c.
func (s *drawer) heating(amp float64) float64 {
	return s.r0*amp*amp + s.r1*s.now.w*s.now.w - s.d.Lump.ConductanceWK*s.now.over
}

// rewind takes the run back.
func (s *drawer) rewind(to drawNow) {
	s.now = to
	if s.d.Curve == nil {
		return
	}
	for j := range s.d.Groups {
		s.piece[j] = int16(s.d.Curve.Piece(s.d.Groups[j].Charge))
	}
}
