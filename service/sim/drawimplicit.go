package sim

import "math"

// drawLaw is how the current of a load follows from s, the open-circuit voltage of the
// pack less the voltage over its polarization: from a power, or by ohm in all.
type drawLaw struct {
	powerW float64 // 0 for a resistor
	ohm    float64 // of the pack, or of pack and resistor together

	per, least, siemens float64 // 1/2P, 4·R·P and 1/R
}

func newDrawLaw(powerW, ohm float64) drawLaw {
	return drawLaw{powerW: powerW, ohm: ohm, per: 0.5 / powerW, least: 4 * ohm * powerW, siemens: 1 / ohm}
}

// inverse is 1/I and its slope over s, and whether the pack can give it at all. At constant
// power I is the smaller root of (s − I·R0)·I = P.
func (l drawLaw) inverse(s float64) (g, slope float64, ok bool) {
	if l.powerW == 0 {
		return l.ohm / s, -l.ohm / (s * s), s > 0
	}
	d := s*s - l.least
	if !(d > 0 && s > 0) {
		return 0, 0, false
	}
	r := math.Sqrt(d)
	g = (s + r) * l.per
	return g, g / r, true
}

// amp is the current, or where the pack cannot give the power that with which it gives most.
func (l drawLaw) amp(s float64) float64 {
	if g, _, ok := l.inverse(s); ok {
		return 1 / g
	}
	return max(s, 0) / (2 * l.ohm)
}

// The Radau IIA method of order five and the weights of its error estimate
// (E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, sections
// IV.5 and IV.8; from memory).
const (
	root6 = 2.449489742783178098197284

	c1, c2        = (4 - root6) / 10, (4 + root6) / 10
	a11, a12, a13 = (88 - 7*root6) / 360, (296 - 169*root6) / 1800, (-2 + 3*root6) / 225
	a21, a22, a23 = (296 + 169*root6) / 1800, (88 + 7*root6) / 360, (-2 - 3*root6) / 225
	a31, a32, a33 = (16 - root6) / 36, (16 + root6) / 36, 1.0 / 9
	d1, d2, d3    = -(13 + 7*root6) / 3, (-13 + 7*root6) / 3, -1.0 / 3
	radauU        = 3.637834252744495732208418 // the real eigenvalue of the inverse of A

	drawTolerance = 2e-7 // of the estimate, which is of third order: the run itself is good to 1e-10
)

// follow draws by a law for dt seconds. The charge is the independent variable, so that a step ends
// on a breakpoint of the curve exactly: dw/dq = (1 − w/I)/τ, dt/dq = 1/I. Where the
// load is light a piece of the curve lasts many time constants, hence an implicit
// method.
func (s *drawer) follow(l drawLaw, dt float64) {
	until := s.now.t + dt
	step := math.Inf(1)
	var p series
	var before drawNow
	hopped, emptied, rose := false, false, false
	for !s.ended {
		s.look()
		g, slope, ok := l.inverse(s.e0 - s.r1*s.now.w)
		amp := 1 / g
		spare := s.spare(0, amp, s.now.w)
		back := hopped && (!ok || s.passed(spare, amp, rose))
		if back {
			s.rewind(before)
			s.look()
			g, slope, ok = l.inverse(s.e0 - s.r1*s.now.w)
			amp, emptied = 1/g, false
			spare = s.spare(0, amp, s.now.w)
		}
		if !ok {
			s.amp = l.amp(s.e0 - s.r1*s.now.w)
			s.note(s.amp)
			s.end(StopPower)
			return
		}
		s.amp = amp
		s.note(amp)
		switch {
		case emptied:
			s.end(StopReserve)
			return
		case spare <= 0:
			s.end(StopCutoff)
			return
		case s.now.t >= until:
			return
		}
		left := s.reserveLeft()
		hopped = false
		if !back {
			before, rose = s.now, s.warms() && s.heating(amp) > 0
			if hopped, emptied = s.hop(l, &p, until, left, amp, g, slope); hopped {
				continue
			}
		}
		if math.IsInf(step, 1) {
			step = amp * s.d.PolarS / 8
		}
		s.stride(l, until, left, amp, &step)
	}
	s.look()
	s.amp = l.amp(s.e0 - s.r1*s.now.w)
	s.note(s.amp)
}

// stride takes one step, at most the given one, to the next event. It leaves in step how
// long the next may be.
func (s *drawer) stride(l drawLaw, until, left, amp float64, step *float64) {
	x := min(*step, s.kink, left)
	var t trial
	for {
		t = s.try(l, x)
		if t.ok && t.off <= drawTolerance {
			break
		}
		if t.ok {
			x *= max(0.1, 0.9*math.Pow(drawTolerance/t.off, 0.25))
		} else {
			x /= 4
		}
		*step = x
		if x < 1e-10*(left+amp*s.d.PolarS) { // as near to the greatest power as the digits go
			s.end(StopPower)
			return
		}
	}
	if x == *step {
		*step *= min(6, 0.9*math.Sqrt(math.Sqrt(drawTolerance/max(t.off, 1e-30))))
	}
	landed := t.dt >= until-s.now.t
	if landed {
		x, t = s.land(l, x, t, until-s.now.t)
	}
	if r := s.over(&t); r <= 0 {
		begin := min(s.spare(0, amp, s.now.w), s.coolFor(s.now.over))
		x = Root(0, x, begin, r, func(y float64) float64 {
			t = s.try(l, y)
			return s.over(&t)
		})
		t = s.try(l, x)
		why := StopCutoff
		if s.coolFor(t.over) < s.spare(t.x, t.amp, t.w) {
			why = StopTemperature
		}
		s.end(why)
	}
	s.crest(l, amp, x, &t)
	for s.pending(s.now.t + t.dt) {
		if rest := s.times[0] - s.now.t; rest > 0 {
			_, y := s.land(l, x, t, rest)
			s.sample(s.after(&y), y.amp)
		} else {
			s.sample(s.now, amp)
		}
	}
	s.now = s.after(&t)
	switch {
	case s.ended:
	case x == left:
		s.end(StopReserve)
	}
	if x == s.kink {
		s.now.q = s.kinkQ
	}
	if !s.ended && landed {
		s.now.t = until
	}
}

// crest keeps the peak of the temperature where it lies within a step: as at a resistor, whose heat falls.
func (s *drawer) crest(l drawLaw, amp, x float64, end *trial) {
	if !s.warms() || s.dry {
		return
	}
	warming := func(amp, w, over float64) float64 {
		return s.r0*amp*amp + s.r1*w*w - s.d.Lump.ConductanceWK*over
	}
	from, to := warming(amp, s.now.w, s.now.over), warming(end.amp, end.w, end.over)
	if from <= 0 || to >= 0 {
		return
	}
	over := end.over
	Root(0, x, from, to, func(y float64) float64 {
		t := s.try(l, y)
		over = t.over
		return warming(t.amp, t.w, t.over)
	})
	s.out.PeakDegC = max(s.out.PeakDegC, s.d.Lump.AmbientDegC+over)
}

// coolFor is how far a temperature is below its limit, or more than any voltage where none
// is followed.
func (s *drawer) coolFor(over float64) float64 {
	if !s.warms() {
		return math.Inf(1)
	}
	return s.limit - over
}

// over is how far the end of a trial is from ending the run.
func (s *drawer) over(t *trial) float64 {
	if !t.ok {
		return -1
	}
	return min(s.spare(t.x, t.amp, t.w), s.coolFor(t.over))
}

// land is the trial that lasts rest seconds, by Newton's method from the trial t of x.
func (s *drawer) land(l drawLaw, x float64, t trial, rest float64) (float64, trial) {
	x *= rest / t.dt
	for range 20 {
		t = s.try(l, x)
		miss := rest - t.dt
		if math.Abs(miss) <= 1e-14*(s.now.t+rest) {
			break
		}
		x += miss * t.amp
	}
	t.dt = rest
	return x, t
}

// trial is where x coulombs on would lead.
type trial struct {
	x, dt, w, over, square, mixed, amp float64
	off                                float64 // estimated error of w and of the time, relative
	ok                                 bool
}

func (s *drawer) after(t *trial) drawNow {
	n := s.now
	n.t += t.dt
	n.q += t.x
	n.w, n.over = t.w, t.over
	n.square += t.square
	n.mixed += t.mixed
	return n
}

// try makes one step of x coulombs on the piece of the curve where it was read.
func (s *drawer) try(l drawLaw, x float64) trial {
	t := trial{x: x}
	w0, rate := s.now.w, 1/s.d.PolarS
	g0, h0, ok := l.inverse(s.e0 - s.r1*w0)
	if !ok {
		return t
	}
	f0, j0 := (1-w0*g0)*rate, -(g0-w0*h0*s.r1)*rate
	e1, e2, e3 := s.e0-s.e1*c1*x, s.e0-s.e1*c2*x, s.e0-s.e1*x
	guess := x * f0 / (1 - x*j0)
	w1, w2, w3 := w0+c1*guess, w0+c2*guess, w0+guess
	var g1, g2, g3, h1, h2, h3, f1, f2, f3 float64
	for range 12 {
		var k1, k2, k3 bool
		g1, h1, k1 = l.inverse(e1 - s.r1*w1)
		g2, h2, k2 = l.inverse(e2 - s.r1*w2)
		g3, h3, k3 = l.inverse(e3 - s.r1*w3)
		if !(k1 && k2 && k3) {
			return t
		}
		f1, f2, f3 = (1-w1*g1)*rate, (1-w2*g2)*rate, (1-w3*g3)*rate
		j1, j2, j3 := -(g1-w1*h1*s.r1)*rate*x, -(g2-w2*h2*s.r1)*rate*x, -(g3-w3*h3*s.r1)*rate*x
		p1 := w0 + x*(a11*f1+a12*f2+a13*f3) - w1
		p2 := w0 + x*(a21*f1+a22*f2+a23*f3) - w2
		p3 := w0 + x*(a31*f1+a32*f2+a33*f3) - w3
		m1, m2, m3 := solve3(
			1-a11*j1, -a12*j2, -a13*j3,
			-a21*j1, 1-a22*j2, -a23*j3,
			-a31*j1, -a32*j2, 1-a33*j3, p1, p2, p3)
		w1, w2, w3 = w1+m1, w2+m2, w3+m3
		g1, g2, g3 = g1-h1*s.r1*m1, g2-h2*s.r1*m2, g3-h3*s.r1*m3
		if math.Abs(m1)+math.Abs(m2)+math.Abs(m3) <= 1e-8/g0 { // Newton's method squares it
			ok = true
			break
		}
		ok = false
	}
	if !ok {
		return t
	}
	i1, i2, i3 := 1/g1, 1/g2, 1/g3
	t.ok = true
	t.w, t.amp = w3, i3
	t.dt = x * (a31*g1 + a32*g2 + a33*g3)
	t.square = x * (a31*i1 + a32*i2 + a33*i3)
	t.mixed = x * (a31*w1 + a32*w2 + a33*w3)
	z := (d1*(w1-w0) + d2*(w2-w0) + d3*(w3-w0)) / x
	t.off = math.Abs((z+f0)/(radauU/x-j0)) * g0
	t.off = max(t.off, math.Abs(t.dt-x*(g0*b0+g2*b2+g3*b3))/t.dt)
	t.over = s.now.over
	if s.warms() {
		p := func(i, w float64) float64 { return s.r0*i*i + s.r1*w*w }
		u1 := x * (a11*g1 + a12*g2 + a13*g3) / t.dt
		u2 := x * (a21*g1 + a22*g2 + a23*g3) / t.dt
		t.over = s.warmed(t.dt, u1, u2, p(1/g0, w0), p(i1, w1), p(i2, w2), p(i3, w3))
	}
	return t
}

// The weights of the quadrature through 0, c2 and 1, which is good to third order: it says how
// far the time may be off.
const (
	b2 = (1.0/3 - 1.0/2) / (c2 * (c2 - 1))
	b3 = 1.0/2 - b2*c2
	b0 = 1 - b2 - b3
)

// solve3 solves three linear equations by Cramer's rule.
func solve3(a, b, c, d, e, f, g, h, i, x, y, z float64) (u, v, w float64) {
	ei, di, dh := e*i-f*h, d*i-f*g, d*h-e*g
	k := 1 / (a*ei - b*di + c*dh)
	u = (x*ei - b*(y*i-f*z) + c*(y*h-e*z)) * k
	v = (a*(y*i-f*z) - x*di + c*(d*z-y*g)) * k
	w = (a*(e*z-y*h) - b*(d*z-y*g) + x*dh) * k
	return u, v, w
}

// warmed is the temperature h seconds on for a heat that is p0 to p3 at 0, u1·h, u2·h and h:
// exact for the cubic through them.
func (s *drawer) warmed(h, u1, u2, p0, p1, p2, p3 float64) float64 {
	q1 := (p1 - p0) / u1
	q12 := (p2 - p1) / (u2 - u1)
	q23 := (p3 - p2) / (1 - u2)
	r1 := (q12 - q1) / u2
	r2 := (q23 - q12) / (1 - u1)
	v := r2 - r1
	// p0 + q1·u + r1·u(u−u1) + v·u(u−u1)(u−u2), by powers of u
	k1, k2, k3 := q1-r1*u1+v*u1*u2, r1-v*(u1+u2), v
	y := h / s.d.Lump.TimeConstant()
	m0, m1, m2, m3 := moments(y)
	return s.now.over*math.Exp(-y) + h/s.d.Lump.HeatCapacityJK*(p0*m0+k1*m1+k2*m2+k3*m3)
}

// moments are ∫ e^(−y(1−u)) u^m du from 0 to 1 for m from 0 to 3.
func moments(y float64) (m0, m1, m2, m3 float64) {
	if y > 2 {
		m0 = -math.Expm1(-y) / y
		m1 = (1 - m0) / y
		m2 = (1 - 2*m1) / y
		return m0, m1, m2, (1 - 3*m2) / y
	}
	// upward the recurrence loses digits: the series for m = 3, then downward
	if y < 0.1 { // eight terms do
		m3 = (1 - y*(1./5)*(1-y*(1./6)*(1-y*(1./7)*(1-y*(1./8)*(1-y*(1./9)*(1-y*(1./10)*(1-y*(1./11)))))))) / 4
	} else {
		term := 1.0 / 4
		for i := 5.0; math.Abs(term) > 1e-17; i++ {
			m3 += term
			term *= -y / i
		}
	}
	m2 = (1 - y*m3) / 3
	m1 = (1 - y*m2) / 2
	m0 = 1 - y*m1
	return m0, m1, m2, m3
}
