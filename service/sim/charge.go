// Package sim computes charges and runs in SI units, event by event: exact on
// every linear piece of the open-circuit curve, with no fixed time step. Runs are in
// the draw….go files.
//
// In a charge all groups of a series pack carry the same current, so the charge q that has
// passed since the start is the one state variable: the charge of group j is
// z_j + q/Q_j, and every limit on the current is a function of q alone. What
// the charger does at q is the least of those limits, and a phase ends where
// another limit becomes the least.
package sim

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
)

// Group is Count series groups that are alike.
type Group struct {
	Count   float64
	Coulomb float64 // capacity
	Charge  float64 // state of charge at the start, 0 to 1
	Ohm     float64 // quasi-steady resistance
}

// Program is what the charger is set to do.
type Program struct {
	CurrentA   float64 // constant current, above 0
	PowerW     float64 // power at the pack's terminals; +Inf where nothing limits it
	EndV       float64 // end-of-charge voltage of a cell
	TaperA     float64 // current at which the constant-voltage phase ends, above 0
	RecoveryA  float64 // current until every cell rests at RecoveryV; not used where RecoveryV is 0
	RecoveryV  float64
	Brief      bool    // only the times and the charge are wanted
	BalanceA   float64 // bleed current; 0 where the charger does not balance
	ToleranceV float64 // spread of rested cells at which balancing ends

	Counted bool    // the charger's count of the charge ends it, after CountC at the latest
	CountC  float64 // charge, 0 or more
}

// Kind is what holds the current in a piece.
type Kind uint8

// The kinds of piece, in the order in which a charge goes through them.
const (
	Recovery Kind = iota
	ConstantCurrent
	PowerLimited
	ConstantVoltage
	Balancing
)

// Piece is a stretch of the charge with one law for the current.
type Piece struct {
	Kind           Kind
	T0, Seconds    float64 // start and length in time
	Q0, Coulombs   float64 // start and length in charge
	I0, I1         float64 // current at the start and at the end
	HeatW0, HeatW1 float64 // heat power in the cells at the start and at the end
	TempDegC0      float64 // temperature of the pack at the start; filled by Warm

	decay  float64 // ConstantVoltage: −dI/dq, in 1/s
	e0, e1 float64 // PowerLimited: sum of the open-circuit voltages and its slope over q
}

// Charge is a computed charge.
type Charge struct {
	Pieces   []Piece
	Seconds  float64
	Coulombs float64 // through the pack's terminals
	StoredJ  float64 // in the cells
	HeatJ    float64 // in the cells
	BypassJ  float64 // in the balancing circuit
	BypassC  float64 // led past full cells, summed over the cells
	BalanceS float64 // seconds spent balancing, at the end
	SpreadV  float64 // highest less lowest rested cell at the end
	LeftOutC float64 // charge of the lowest cell short of the highest at the end

	curve  *cell.Curve
	groups []Group
	mainC  float64            // charge at which balancing begins
	stop   [MaxGroups]float64 // charge at which each group is bypassed
	ohm    float64
	power  float64
}

// MaxGroups is the largest number of unlike groups.
const MaxGroups = 32

// solver carries a charge from event to event.
type solver struct {
	Charge
	p     Program
	q, t  float64
	heatC float64 // ∫ I dq so far: times the resistance, the heat in the cells
	open  stretch

	piece         [MaxGroups]int     // piece of the curve each group is on
	perC, siemens [MaxGroups]float64 // 1/Q and 1/R of each group
	alpha, beta   [MaxGroups]float64 // see look
}

// Run computes a charge. Groups number 1 to MaxGroups; pieces is scratch space
// to build the answer in and may be nil.
func Run(curve *cell.Curve, groups []Group, p Program, pieces []Piece) Charge {
	s := solver{p: p}
	s.curve, s.groups, s.Pieces, s.power = curve, groups, pieces[:0], p.PowerW
	for j, g := range groups {
		s.piece[j] = curve.Piece(g.Charge)
		s.perC[j], s.siemens[j] = 1/g.Coulomb, 1/g.Ohm
		s.ohm += g.Count * g.Ohm
	}
	if p.RecoveryV > 0 {
		until := 0.0
		floor := curve.Charge(p.RecoveryV)
		for _, g := range groups {
			until = max(until, (floor-g.Charge)*g.Coulomb)
		}
		if until > 0 {
			s.hold(Recovery, min(p.RecoveryA, p.CurrentA), until)
		}
	}
	count := math.Inf(1)
	if p.Counted {
		count = p.CountC
	}
	s.hold(ConstantCurrent, p.CurrentA, count)
	s.mainC = s.q
	s.HeatJ = s.ohm * s.heatC
	for j := range groups {
		s.stop[j] = s.q
	}
	if p.BalanceA > 0 && len(groups) > 1 {
		s.balance()
	}
	s.finish()
	return s.Charge
}

// law is the least limit on the current at one charge, and how it goes on.
type law struct {
	kind  Kind
	group int     // ConstantVoltage: the group that is held
	amp   float64 // current now
	slope float64 // dI/dq now
}

// hold charges at setting, or less where power or voltage demand it, until
// the charge until, the taper, or the first full cell.
func (s *solver) hold(kind Kind, setting, until float64) {
	if kind == ConstantCurrent && s.jump(setting, until) {
		return
	}
	s.follow(kind, setting, until)
	s.flush()
}

// follow goes from event to event.
func (s *solver) follow(kind Kind, setting, until float64) {
	// Each round ends at a breakpoint of the curve or where the law changes;
	// the bound only guards against a fault in this reasoning.
	for range 8 * s.curve.Len() * len(s.groups) {
		next, e0, e1, l := s.look(kind, setting)
		next = min(next, until)
		if l.amp <= 0 || (l.kind == ConstantVoltage && l.amp <= s.p.TaperA) {
			return
		}
		x, taper := s.reach(l, e0, e1, next-s.q)
		whole := x == next-s.q
		if !s.goesOn(l) {
			s.flush()
			s.open = stretch{l: l, e0: e0, e1: e1, from: s.q, piece: s.piece[l.group]}
		}
		s.open.x += x
		s.q += x
		if whole {
			s.q = next // exactly: adding the difference may miss it by rounding
		}
		if taper || s.q >= until || whole && s.full() {
			return
		}
	}
}

// stretch is what has been charged under one law and not yet written down.
type stretch struct {
	l      law
	e0, e1 float64
	from   float64 // charge at its start
	x      float64 // its length
	piece  int     // piece of the curve that the held group is on
}

// goesOn reports whether the law l only continues the open stretch: the same
// group held on the same piece of the curve, past a breakpoint of another group.
func (s *solver) goesOn(l law) bool {
	o := &s.open
	return o.x > 0 && l.kind == ConstantVoltage && o.l.kind == ConstantVoltage && l.group == o.l.group && s.piece[l.group] == o.piece
}

// flush writes the open stretch down as a piece.
func (s *solver) flush() {
	s.advance(s.open)
	s.open = stretch{}
}

// jump takes the constant-current phase in one piece, past every breakpoint,
// where power does not limit it: the end of the phase is known from the
// inverse of the curve. It reports whether the charge has ended.
func (s *solver) jump(setting, until float64) bool {
	end := until
	for _, g := range s.groups {
		z := s.curve.Charge(s.p.EndV - setting*g.Ohm)
		end = min(end, (min(z, 1)-g.Charge)*g.Coulomb)
	}
	if end <= s.q {
		return false
	}
	var u0, u1 float64
	for _, g := range s.groups {
		u0 += g.Count * s.curve.Voltage(g.Charge+s.q/g.Coulomb)
		u1 += g.Count * s.curve.Voltage(g.Charge+end/g.Coulomb)
	}
	if (u1+setting*s.ohm)*setting > s.p.PowerW {
		return false
	}
	s.open = stretch{l: law{kind: ConstantCurrent, amp: setting}, e0: u0, from: s.q, x: end - s.q}
	s.flush()
	s.q = end
	for j, g := range s.groups {
		s.piece[j] = s.curve.Piece(g.Charge + s.q/g.Coulomb)
	}
	return s.full()
}

// full reports whether a group has reached charge 1.
func (s *solver) full() bool {
	for j, g := range s.groups {
		if s.piece[j] == s.curve.Len()-2 && s.q >= (1-g.Charge)*g.Coulomb {
			return true
		}
	}
	return false
}

// look reads the curve where each group is now, moving each to the piece of
// the curve it is on. It keeps the current that would hold each group at the
// end voltage, alpha less beta for each coulomb, and returns the charge at which
// the first group leaves its piece, the sum of the open-circuit voltages with
// its slope over q, and the limit that rules from here on: the smallest, and of
// those that are equal the one that falls fastest.
func (s *solver) look(kind Kind, setting float64) (next, e0, e1 float64, l law) {
	next, l = math.Inf(1), law{kind: kind, amp: setting}
	last := s.curve.Len() - 2
	for j := range s.groups {
		g := &s.groups[j]
		k := s.piece[j]
		end := (s.curve.At(k+1).Charge - g.Charge) * g.Coulomb
		for end <= s.q && k < last {
			k++
			end = (s.curve.At(k+1).Charge - g.Charge) * g.Coulomb
		}
		s.piece[j] = k
		next = min(next, end)
		from, slope := s.curve.At(k), s.curve.Slope(k)
		u := from.Volt + slope*(g.Charge+s.q*s.perC[j]-from.Charge)
		b := slope * s.perC[j]
		alpha, beta := (s.p.EndV-u)*s.siemens[j], b*s.siemens[j]
		s.alpha[j], s.beta[j] = alpha, beta
		e0 += g.Count * u
		e1 += g.Count * b
		if falls(l.amp, l.slope, alpha, -beta, s.siemens[j]) {
			l = law{kind: ConstantVoltage, group: j, amp: alpha, slope: -beta}
		}
	}
	if !math.IsInf(s.p.PowerW, 1) {
		amp := powerCurrent(e0, s.ohm, s.p.PowerW)
		if slope := -e1 * amp / (e0 + 2*s.ohm*amp); falls(l.amp, l.slope, amp, slope, 0) {
			l = law{kind: PowerLimited, amp: amp, slope: slope}
		}
	}
	return next, e0, e1, l
}

// falls reports whether the limit b rules over the limit a, each a current and
// its slope. Currents within rounding of each other (1e-12 of the current, or
// what 1e-13 V does through the siemens of a held group) are an event just met:
// the one that falls faster rules from there.
func falls(a, slopeA, b, slopeB, siemens float64) bool {
	d := b - a
	if math.Abs(d) <= 1e-12*math.Abs(a)+1e-13*siemens {
		return slopeB < slopeA
	}
	return d < 0
}

// reach is how far the law l goes on, at most to, in coulombs, and whether the
// charge tapers off there.
func (s *solver) reach(l law, e0, e1, to float64) (x float64, taper bool) {
	x = to
	switch l.kind {
	case PowerLimited:
		for j := range s.groups {
			x = min(x, powerCrossing(s.alpha[j], s.beta[j], e0, e1, s.ohm, s.p.PowerW, -1))
		}
	case ConstantVoltage:
		alpha, beta := s.alpha[l.group], s.beta[l.group]
		for j := range s.groups {
			if j != l.group && s.beta[j] > beta {
				x = min(x, max(s.alpha[j]-alpha, 0)/(s.beta[j]-beta))
			}
		}
		if !math.IsInf(s.p.PowerW, 1) {
			x = min(x, powerCrossing(alpha, beta, e0, e1, s.ohm, s.p.PowerW, 1))
		}
		if beta > 0 {
			if end := (alpha - s.p.TaperA) / beta; end <= x {
				return end, true
			}
		}
	default:
		for j := range s.groups {
			x = min(x, max(s.alpha[j]-l.amp, 0)/s.beta[j])
		}
		if !math.IsInf(s.p.PowerW, 1) && e1 > 0 {
			x = min(x, max(s.p.PowerW/l.amp-s.ohm*l.amp-e0, 0)/e1)
		}
	}
	return x, false
}

// advance appends a stretch as a piece.
func (s *solver) advance(o stretch) {
	l, e0, e1, x := o.l, o.e0, o.e1, o.x
	if x <= 0 {
		return
	}
	p := Piece{Kind: l.kind, T0: s.t, Q0: o.from, Coulombs: x, I0: l.amp, I1: l.amp}
	switch l.kind {
	case PowerLimited:
		p.e0, p.e1 = e0, e1
		p.I1 = powerCurrent(e0+e1*x, s.ohm, s.p.PowerW)
		p.Seconds = powerSeconds(e0, e1, s.ohm, s.p.PowerW, x)
		s.heatC += powerSquare(e0, e1, s.ohm, s.p.PowerW, x)
	case ConstantVoltage:
		p.decay = -l.slope
		p.I1 = l.amp - p.decay*x
		p.Seconds = decaySeconds(l.amp, p.decay, x)
		s.heatC += (p.I0 + p.I1) / 2 * x
	default:
		p.Seconds = x / l.amp
		s.heatC += l.amp * x
	}
	if !s.p.Brief {
		p.HeatW0, p.HeatW1 = p.I0*p.I0*s.ohm, p.I1*p.I1*s.ohm
		s.Pieces = append(s.Pieces, p)
	}
	s.t += p.Seconds
}

// finish adds up what the pieces leave.
func (s *solver) finish() {
	s.Seconds, s.Coulombs = s.t, s.q
	if s.p.Brief {
		return
	}
	if len(s.Pieces) == 0 { // nothing to charge
		s.Pieces = append(s.Pieces, Piece{Kind: ConstantVoltage})
	}
	var high, low, zHigh, zLow, lowC float64
	for j, g := range s.groups {
		z := s.chargeOf(j, s.q)
		s.StoredJ += g.Count * g.Coulomb * (s.curve.Integral(z) - s.curve.Integral(g.Charge))
		u := s.curve.Voltage(z)
		if j == 0 || u > high {
			high, zHigh = u, z
		}
		if j == 0 || u < low {
			low, zLow, lowC = u, z, g.Coulomb
		}
	}
	s.SpreadV = high - low
	s.LeftOutC = max(0, (zHigh-zLow)*lowC)
}

// chargeOf is the state of charge of group j after q coulombs.
func (c *Charge) chargeOf(j int, q float64) float64 {
	g := c.groups[j]
	return min(g.Charge+min(q, c.stop[j])/g.Coulomb, 1)
}

// MainSeconds is the time without balancing.
func (c *Charge) MainSeconds() float64 { return c.Seconds - c.BalanceS }

// MainCoulombs is the charge without balancing.
func (c *Charge) MainCoulombs() float64 { return c.mainC }
