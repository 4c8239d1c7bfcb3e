package sim

// State is the charge at one moment.
type State struct {
	AmpA     float64
	PackV    float64
	HighestV float64
	LowestV  float64
	Charge   float64 // mean of the cells, 0 to 1
	TempDegC float64 // as Warm left it
}

// At is the state t seconds after the start, held to the start and the end.
// The charge must have at least one piece.
func (c *Charge) At(t float64, warm *Warmth) State {
	p := &c.Pieces[0]
	for i := range c.Pieces {
		p = &c.Pieces[i]
		if t < p.T0+p.Seconds {
			break
		}
	}
	return c.within(p, min(max(t-p.T0, 0), p.Seconds), warm)
}

// within is the state dt seconds into a piece.
func (c *Charge) within(p *Piece, dt float64, warm *Warmth) State {
	x, amp := p.Coulombs, p.I1
	if dt < p.Seconds {
		x, amp = c.after(p, dt)
	}
	s := c.state(p, p.Q0+x, amp)
	if warm != nil {
		s.TempDegC = warm.At(p, dt)
	}
	return s
}

// state is the state in a piece after q coulombs.
func (c *Charge) state(p *Piece, q, amp float64) State {
	s := State{AmpA: amp, LowestV: -1}
	var count float64
	for j, g := range c.groups {
		z := c.chargeOf(j, q)
		v := c.curve.Voltage(z)
		if p.Kind != Balancing || q <= c.stop[j] && c.stop[j] > c.mainC {
			v += amp * g.Ohm
		}
		s.PackV += g.Count * v
		s.HighestV = max(s.HighestV, v)
		if s.LowestV < 0 || v < s.LowestV {
			s.LowestV = v
		}
		s.Charge += g.Count * max(z, 0) // a deeply discharged cell holds nothing
		count += g.Count
	}
	s.Charge /= count
	return s
}

// after is the charge and the current dt seconds into a piece.
func (c *Charge) after(p *Piece, dt float64) (x, amp float64) {
	switch p.Kind {
	case ConstantVoltage:
		x = decayCharge(p.I0, p.decay, dt)
		return x, p.I0 - p.decay*x
	case PowerLimited:
		x = powerCharge(p, c.ohm, c.power, dt)
		return x, powerCurrent(p.e0+p.e1*x, c.ohm, c.power)
	}
	return p.I0 * dt, p.I0
}

// StartOf is the state at the start of a piece, without temperature.
func (c *Charge) StartOf(p *Piece) State { return c.state(p, p.Q0, p.I0) }

// EndOf is the state at the end of a piece, without temperature.
func (c *Charge) EndOf(p *Piece) State { return c.state(p, p.Q0+p.Coulombs, p.I1) }

// SampleTime is when sample i of n is taken of something that lasts for seconds:
// evenly in time, both ends included, or at the start where there is one alone.
func SampleTime(seconds float64, i, n int) float64 {
	if n == 1 {
		return 0
	}
	return seconds * float64(i) / float64(n-1)
}
