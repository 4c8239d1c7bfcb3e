package sim

// carry is what a stretch of given currents does to the state: linear in the
// temperature, in w and in its square.
type carry struct {
	a, b         float64 // w' = a·w + b
	heat         heatOf
	m0, m1       float64 // ∫ w I dt = m0 + m1·w
	t, q, square float64
}

// then is what the stretch and the next one do together.
func (c *carry) then(n *carry) carry {
	return carry{
		a: n.a * c.a, b: n.a*c.b + n.b,
		heat: heatOf{
			own: n.heat.own * c.heat.own,
			c0:  n.heat.own*c.heat.c0 + n.heat.c0 + c.b*(n.heat.c1+n.heat.c2*c.b),
			c1:  n.heat.own*c.heat.c1 + c.a*(n.heat.c1+2*n.heat.c2*c.b),
			c2:  n.heat.own*c.heat.c2 + n.heat.c2*c.a*c.a,
		},
		m0: c.m0 + n.m0 + n.m1*c.b, m1: c.m1 + n.m1*c.a,
		t: c.t + n.t, q: c.q + n.q, square: c.square + n.square,
	}
}

// carried applies it.
func (c *carry) carried(n drawNow) drawNow {
	return drawNow{
		t: n.t + c.t, q: n.q + c.q, w: c.a*n.w + c.b,
		over:   c.heat.after(n.over, n.w),
		square: n.square + c.square, mixed: n.mixed + c.m0 + c.m1*n.w,
	}
}

// cycle repeats the segments. Where all of them are currents most of the run is one leap:
// from cycle to cycle w only rises and the charge only falls, so that at the same
// place of the cycle every voltage falls, the heat rises, and the temperature, once it
// rises, goes on rising. Hence a cycle that passes without an end has none before
// it: the last such cycle is found by halving the number that the reserve allows, and all
// before it are taken at once.
//
// The first cycle is run whole for its extremes and because a pack that begins warm may cool at first.
func (s *drawer) cycle() {
	if !s.dry || s.warms() {
		s.round()
	}
	leaps := true
	for i := range s.d.Segments {
		leaps = leaps && s.d.Segments[i].PowerW == 0
	}
	if leaps && !s.ended {
		s.leap()
	}
	for !s.ended {
		s.round()
	}
}

// round runs the cycle once.
func (s *drawer) round() {
	for i := range s.d.Segments {
		g := &s.d.Segments[i]
		s.out.Segment = i
		if g.PowerW > 0 {
			s.follow(newDrawLaw(g.PowerW, s.r0), g.Seconds)
		} else {
			s.current(g.AmpA, g.Seconds)
		}
		if s.ended {
			return
		}
	}
	s.out.Cycles++
}

const mostDoublings, mostSegments = 50, 64

// stretches are what each segment of a cycle does, and what 1, 2, 4, … cycles do together.
type stretches struct {
	part   [mostSegments]carry
	double [mostDoublings]carry
}

func (s *drawer) leap() {
	if len(s.d.Segments) > mostSegments {
		return
	}
	var all stretches
	try := drawer{
		d: s.d, dry: true, asks: true, cold: s.cold,
		r0: s.r0, r1: s.r1, reserveQ: s.reserveQ, limit: s.limit,
	}
	double := &all.double
	double[0] = s.once(&all)
	levels := 1
	for left := s.reserveLeft(); levels < mostDoublings && 2*double[levels-1].q <= left; levels++ {
		double[levels] = double[levels-1].then(&double[levels-1])
	}
	safe, n := s.now, 0
	for k := levels - 1; k >= 0; k-- {
		if to := double[k].carried(safe); s.passes(&try, &all, to) {
			safe, n = to, n+1<<k
		}
	}
	for n > 0 {
		m := n
		if len(s.times) > 0 {
			m = min(n, max(int((s.times[0]-s.now.t)/double[0].t), 0))
		}
		for k := range levels {
			if m>>k&1 == 1 {
				s.now = double[k].carried(s.now)
			}
		}
		s.out.Cycles += float64(m)
		if n -= m; n > 0 { // a sample is wanted in the next cycle
			s.round()
			n--
		}
	}
}

// passes reports whether a cycle that begins so passes without an end; try is to find that out.
func (s *drawer) passes(try *drawer, all *stretches, from drawNow) bool {
	try.now, try.piece, try.ended = from, s.piece, false
	try.look()
	for i := range s.d.Segments {
		g := &s.d.Segments[i]
		if !try.glides(g, &all.part[i]) {
			try.current(g.AmpA, g.Seconds)
		}
		if try.ended {
			return false
		}
	}
	return true
}

// glides takes a whole segment at once, where it is plain that no end lies within it: its ends are well,
// and so is what lies between. The curve has been read where it begins, and is read where it ends.
func (s *drawer) glides(g *LoadSegment, c *carry) bool {
	x := g.AmpA * g.Seconds
	if s.spare(0, g.AmpA, s.now.w) <= 0 || s.reserveLeft() <= x {
		return false
	}
	if s.warms() {
		w := max(s.now.w, g.AmpA)
		if max(s.now.over, 0)+(s.r0*g.AmpA*g.AmpA+s.r1*w*w)*g.Seconds/s.d.Lump.HeatCapacityJK >= s.limit {
			return false
		}
	}
	before, piece := s.now, s.piece
	s.now = c.carried(before)
	if x > 0 {
		s.look()
	}
	if s.spare(0, g.AmpA, max(before.w, s.now.w)) <= 0 { // w may have been falling
		s.now, s.piece = before, piece
		return false
	}
	return true
}

// once is one cycle, part by part.
func (s *drawer) once(all *stretches) carry {
	c := carry{a: 1, heat: heatOf{own: 1}}
	unit := drawer{d: s.d, cold: s.cold, r0: s.r0, r1: s.r1}
	for i := range s.d.Segments {
		g := &s.d.Segments[i]
		var at0, at1 drawNow
		at1.w = 1
		unit.advance(&at0, g.AmpA, g.Seconds)
		unit.advance(&at1, g.AmpA, g.Seconds)
		one := carry{
			a: at1.w - at0.w, b: at0.w, heat: s.heatOf(g.AmpA, g.Seconds),
			m0: at0.mixed, m1: at1.mixed - at0.mixed, t: g.Seconds, q: at0.q, square: at0.square,
		}
		all.part[i] = one
		c = c.then(&one)
	}
	return c
}
